import { type IncomingMessage, type Server, type ServerResponse, createServer } from 'node:http';
import type { AddressInfo, Socket } from 'node:net';

/** Nothing here takes a body; more than this is not even read to its end. */
const MAX_BODY_BYTES = 16 * 1024;

const HEADERS = {
  'Cache-Control': 'no-store',
  'X-Content-Type-Options': 'nosniff',
  'Referrer-Policy': 'no-referrer',
  'Cross-Origin-Resource-Policy': 'same-origin',
  'Cross-Origin-Opener-Policy': 'same-origin',
  'X-Frame-Options': 'DENY',
} as const;

/**
 * A server on the loopback address that hands out one page and nothing else. It answers only to its
 * own name, so that another site cannot reach it by a name of its own that resolves to this machine.
 * @param page  markup
 * @param port  0 for any free port
 */
export function servePage(
  page: string,
  port: number,
): Promise<{ readonly server: Server; readonly port: number }> {
  const server = createServer({ maxHeaderSize: 8 * 1024 }, (request, response) => {
    const { port: own } = server.address() as AddressInfo;
    limitBody(request, response);
    if (!response.writableEnded) reply(request, response, page, own);
  });
  server.requestTimeout = server.headersTimeout = MOST_WAIT_MS;
  keepOpenTo(server);
  return new Promise((resolve, reject) => {
    server.once('error', reject);
    server.listen({ host: '127.0.0.1', port, exclusive: true }, () => {
      resolve({ server, port: (server.address() as AddressInfo).port });
    });
  });
}

/** Connections at a time. */
const MOST_OPEN = 64;
/** Time for a whole request to come in. ms */
const MOST_WAIT_MS = 5000;

/** Ends the oldest connection for one too many, so that those that send or read slowly, or not at
 *  all, keep nobody out. */
function keepOpenTo(server: Server): void {
  const open = new Set<Socket>();
  server.on('connection', (socket) => {
    open.add(socket);
    socket.once('close', () => open.delete(socket));
    // A set is in order of coming.
    if (open.size > MOST_OPEN) open.values().next().value?.destroy();
  });
}

function limitBody(request: IncomingMessage, response: ServerResponse): void {
  const stated = Number(request.headers['content-length'] ?? 0);
  if (!(stated <= MAX_BODY_BYTES)) {
    refuse(response, 413, 'this server takes no body');
    request.destroy();
    return;
  }
  let seen = 0;
  request.on('data', (chunk: Buffer) => {
    seen += chunk.length;
    if (seen > MAX_BODY_BYTES) request.destroy();
  });
}

function reply(
  request: IncomingMessage,
  response: ServerResponse,
  page: string,
  port: number,
): void {
  const { host } = request.headers;
  if (host !== `127.0.0.1:${port}` && host !== `localhost:${port}`) {
    return refuse(response, 421, 'this server answers to 127.0.0.1 only');
  }
  const { 'sec-fetch-site': site, 'sec-fetch-mode': mode } = request.headers;
  if (site === 'cross-site' && mode !== 'navigate') {
    return refuse(response, 403, 'this server is not for other sites');
  }
  if (request.method !== 'GET' && request.method !== 'HEAD') {
    response.setHeader('Allow', 'GET, HEAD');
    return refuse(response, 405, 'this server only hands out its page');
  }
  // The path as sent: nothing is decoded, joined or looked up on disk.
  if (request.url?.split('?', 1)[0] !== '/') return refuse(response, 404, 'no such page');
  response.writeHead(200, {
    ...HEADERS,
    'Content-Type': 'text/html; charset=utf-8',
    'Content-Length': Buffer.byteLength(page),
  });
  response.end(request.method === 'HEAD' ? undefined : page);
}

function refuse(response: ServerResponse, status: number, why: string): void {
  response.writeHead(status, { ...HEADERS, 'Content-Type': 'text/plain; charset=utf-8' });
  response.end(`${why}\n`);
}
