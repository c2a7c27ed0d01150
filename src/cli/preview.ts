import { basename, dirname } from 'node:path';
import { JOB_FILE_LIMITS } from '../text/yaml-text.js';
import { type FileText, loadJobText } from '../job/load.js';
import { showPath } from '../text/show.js';
import type { LiveJob } from '../preview/live/messages.js';
import { type CommonArgs, JOB, UserError, command, textOption } from './command.js';
import type { Env } from './env.js';
import { pageFor } from './io/preview-file.js';
import { servePage } from './io/preview-server.js';
import { errorCode, readTextFile } from './io/read-text.js';
import { fileResolvers } from './load-job.js';

interface PreviewArgs extends CommonArgs {
  readonly job: string;
  readonly port?: string;
}

/** Tried first, so that the address stays the same from day to day. */
const USUAL_PORT = 4206;

export const preview = command<PreviewArgs>({
  name: 'preview',
  usage: 'preview <job>',
  summary: 'Dry run in the browser: change the job and see the cut at once.',
  positionals: { job: JOB },
  options: { port: textOption(`port on 127.0.0.1 [${USUAL_PORT}, or any that is free]`) },
  examples: [['$0 preview examples/nursery-barrow.yaml', 'then open the address it prints']],
  async run(args, env) {
    const port = args.port === undefined ? null : portFrom(args.port);
    const { server, port: own } = await listen(pageFor(liveJob(args.job, env)), port);
    const url = `http://127.0.0.1:${own}/`;
    const tell = args.json ? env.err : env.out;
    if (!args.quiet) tell(`${showPath(args.job)}: ${url} (Ctrl-C ends it)\n`);
    await interrupted();
    server.closeAllConnections();
    await new Promise((resolve) => server.close(resolve));
    return { exit: 0, text: '', json: { url } };
  },
});

function portFrom(text: string): number {
  const port = /^\d{1,5}$/.test(text) ? Number(text) : NaN;
  if (port >= 1 && port <= 65535) return port;
  throw new UserError(`preview: --port "${showPath(text)}" is not a port; give 1 to 65535`);
}

/** Resolves at Ctrl-C, or when the process is asked to end. */
function interrupted(): Promise<void> {
  return new Promise((resolve) => {
    const end = () => {
      process.off('SIGINT', end);
      process.off('SIGTERM', end);
      resolve();
    };
    process.on('SIGINT', end);
    process.on('SIGTERM', end);
  });
}

async function listen(page: string, port: number | null) {
  try {
    return await servePage(page, port ?? USUAL_PORT);
  } catch (error) {
    const code = errorCode(error);
    if (code !== 'EADDRINUSE' && code !== 'EACCES') throw error;
    if (port === null) return servePage(page, 0);
    const why = code === 'EACCES' ? 'may not be opened' : 'is in use';
    throw new UserError(`preview: port ${port} ${why}; give another with --port`);
  }
}

/**
 * The job, the machine file it names and the log of the machine, read once. What is changed on the page
 * stays there until it is saved.
 * @throws JobError for a job that cannot be planned from
 */
function liveJob(path: string, env: Env): LiveJob {
  const text = readTextFile(path, env.cwd, JOB_FILE_LIMITS.maxBytes);
  const machineFiles: Record<string, FileText> = {};
  const files = fileResolvers(dirname(path), env);
  const { error } = loadJobText(text, path, {
    machineFile: (name) => (machineFiles[name] = files.machineFile(name)),
    evidenceLog(name) {
      const log = files.evidenceLog!(name);
      if (log) machineFiles[name] = log;
      return log;
    },
  });
  if (error) throw error;
  return { file: basename(path), text, machineFiles };
}
