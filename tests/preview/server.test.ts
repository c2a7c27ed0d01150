import { request } from 'node:http';
import { connect } from 'node:net';
import { networkInterfaces } from 'node:os';
import type { Server } from 'node:http';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { servePage } from '../../src/cli/io/preview-server.js';

const PAGE = '<p>µ</p>';

interface Reply {
  readonly status: number;
  readonly body: string;
  readonly headers: Record<string, string | string[] | undefined>;
}

let server: Server;
let port = 0;

beforeAll(async () => {
  ({ server, port } = await servePage(PAGE, 0));
});
afterAll(() => {
  server.closeAllConnections();
  server.close();
});

function ask(
  path: string,
  options: { method?: string; headers?: Record<string, string>; body?: string } = {},
): Promise<Reply> {
  return new Promise((resolve, reject) => {
    const { method = 'GET', headers = {}, body } = options;
    const req = request({ host: '127.0.0.1', port, path, method, headers, agent: false }, (res) => {
      let text = '';
      res.setEncoding('utf8');
      res.on('data', (chunk: string) => (text += chunk));
      res.on('end', () =>
        resolve({ status: res.statusCode ?? 0, body: text, headers: res.headers }),
      );
    });
    req.on('error', reject);
    req.end(body);
  });
}

/** Bytes on the wire, for what an http client would not send. */
function raw(text: string): Promise<string> {
  return new Promise((resolve, reject) => {
    const socket = connect(port, '127.0.0.1', () => socket.end(text));
    let seen = '';
    socket.on('data', (chunk) => (seen += chunk.toString('latin1')));
    socket.on('close', () => resolve(seen));
    socket.on('error', reject);
  });
}

describe('the preview server', () => {
  it('hands out its page with its length in bytes, and says what it is', async () => {
    const page = await ask('/');
    expect(page).toMatchObject({ status: 200, body: PAGE });
    expect(page.headers['content-type']).toBe('text/html; charset=utf-8');
    expect(page.headers['x-content-type-options']).toBe('nosniff');
    expect(page.headers['access-control-allow-origin']).toBeUndefined();
    expect((await ask('/?x=1')).body).toBe(PAGE);
    const head = await ask('/', { method: 'HEAD' });
    expect(head).toMatchObject({ status: 200, body: '' });
    expect(head.headers['content-length']).toBe('9');
  });

  it('refuses other Host headers, so that no name of another site leads here', async () => {
    for (const host of [
      'evil.example',
      `evil.example:${port}`,
      '127.0.0.1',
      'localhost',
      `[::1]:${port}`,
    ]) {
      expect((await ask('/', { headers: { Host: host } })).status).toBe(421);
    }
    for (const host of [`127.0.0.1:${port}`, `localhost:${port}`]) {
      expect((await ask('/', { headers: { Host: host } })).status).toBe(200);
    }
    expect(await raw('GET / HTTP/1.0\r\n\r\n')).toMatch(/^HTTP\/1\.1 421/);
    expect(await raw('GET / HTTP/1.1\r\nHost:\r\n\r\n')).toMatch(/^HTTP\/1\.1 421/);
  });

  it('has nothing but its own page: no path leads out', async () => {
    for (const path of [
      '/package.json',
      '/../package.json',
      '/%2e%2e/package.json',
      '/..%2fpackage.json',
      '//etc/passwd',
      '/./',
      '/job.json/',
      '/JOB.JSON',
      '/job.json%00',
      '/__proto__',
      '/constructor',
    ]) {
      expect((await ask(path)).status, path).toBe(404);
    }
  });

  it('takes no other methods', async () => {
    for (const method of ['POST', 'PUT', 'DELETE', 'OPTIONS', 'PATCH']) {
      const reply = await ask('/', { method });
      expect(reply.status, method).toBe(405);
      expect(reply.headers['allow']).toBe('GET, HEAD');
    }
  });

  it('refuses large bodies by their stated length and stops reading the rest', async () => {
    const reply = await raw(
      `POST / HTTP/1.1\r\nHost: 127.0.0.1:${port}\r\nContent-Length: 999999999\r\n\r\nx`,
    );
    expect(reply).toMatch(/^HTTP\/1\.1 413/);
    const chunk = `4000\r\n${'y'.repeat(0x4000)}\r\n`;
    const chunked = `POST / HTTP/1.1\r\nHost: 127.0.0.1:${port}\r\nTransfer-Encoding: chunked\r\n\r\n`;
    await raw(chunked + chunk.repeat(64)).catch(() => '');
    expect((await ask('/')).status).toBe(200);
  });

  it('does not answer to requests that another site makes', async () => {
    const headers = { 'Sec-Fetch-Site': 'cross-site', 'Sec-Fetch-Mode': 'no-cors' };
    expect((await ask('/', { headers })).status).toBe(403);
  });

  it('answers at once while hundreds of connections send nothing, half a request, or do not read', async () => {
    const sent = [
      '',
      'GET / HTTP/1.1\r\nHost: ',
      `GET / HTTP/1.1\r\nHost: 127.0.0.1:${port}\r\n\r\n`,
    ];
    const sockets = await Promise.all(
      Array.from({ length: 300 }, (_, k) => {
        const socket = connect(port, '127.0.0.1');
        socket.on('error', () => {}).pause();
        return new Promise<typeof socket>((resolve) => {
          socket.once('connect', () => resolve(socket));
          socket.write(sent[k % 3]!);
        });
      }),
    );
    const late = new Promise((_, reject) => setTimeout(reject, 2000, new Error('shut out')));
    expect(await Promise.race([ask('/'), late])).toMatchObject({ status: 200 });
    for (const socket of sockets) socket.destroy();
  });

  it('listens on the loopback address only', async () => {
    expect(server.address()).toMatchObject({ address: '127.0.0.1', family: 'IPv4' });
    const outer = Object.values(networkInterfaces())
      .flat()
      .find((a) => a && a.family === 'IPv4' && !a.internal);
    if (!outer) return;
    await expect(
      new Promise((resolve, reject) => {
        const socket = connect(port, outer.address, () => resolve('connected'));
        socket.setTimeout(1000, () => reject(new Error('no answer')));
        socket.on('error', reject);
      }),
    ).rejects.toThrow();
  });
});
