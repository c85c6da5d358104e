import { type ChildProcess, spawn } from 'node:child_process';
import { readFile } from 'node:fs/promises';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';

const repo = fileURLToPath(new URL('../..', import.meta.url));

/** A program of the repository, running as a process of its own. */
export interface Program {
  child: ChildProcess;
  /** All it printed so far, on both streams. */
  output(): string;
  /** Resolves with the match as soon as the output has one; rejects if the program ends without. */
  printed(pattern: RegExp): Promise<RegExpMatchArray>;
  /** Resolves when it has ended. */
  ended: Promise<{ code: number | null; signal: NodeJS.Signals | null }>;
}

const running = new Set<ChildProcess>();

/** For `afterEach`: ends whatever a test that failed left running. */
export function endPrograms(): void {
  for (const child of running) child.kill('SIGKILL');
}

const { scripts } = JSON.parse(await readFile(join(repo, 'package.json'), 'utf8'));
const [, ...started]: string[] = scripts.start.split(' ');
/** The program that `npm start` runs, and what else it gives Node. */
const SERVICE = started.at(-1) ?? '';
const AS_STARTED = started.slice(0, -1);

/** Every variable that the program reads is taken from `env` alone; `options` are more of Node's own than `npm start` gives it. */
export function startProgram(file: string, env: Record<string, string>, options: readonly string[] = []): Program {
  const child = spawn(process.execPath, [...options, ...AS_STARTED, file], {
    cwd: repo,
    env: { PATH: process.env.PATH ?? '', HOME: process.env.HOME ?? '', ...env },
    stdio: ['ignore', 'pipe', 'pipe'],
  });
  running.add(child);
  let output = '';
  let over = false;
  const listeners = new Set<() => void>();
  const tell = () => {
    for (const listener of listeners) listener();
  };
  for (const stream of [child.stdout, child.stderr]) {
    stream.on('data', (chunk: Buffer) => {
      output += chunk.toString();
      tell();
    });
  }
  const ended = new Promise<{ code: number | null; signal: NodeJS.Signals | null }>((done) => {
    child.on('close', (code, signal) => {
      over = true;
      running.delete(child);
      tell();
      done({ code, signal });
    });
  });
  const printed = (pattern: RegExp) =>
    new Promise<RegExpMatchArray>((found, failed) => {
      const look = () => {
        const match = output.match(pattern);
        if (match === null && !over) return;
        listeners.delete(look);
        if (match !== null) found(match);
        else failed(new Error(`it ended without printing ${pattern}:\n${output}`));
      };
      listeners.add(look);
      look();
    });
  return { child, output: () => output, printed, ended };
}

/** Starts the service on a free port, and waits until it says where it listens. */
export async function startService(
  env: Record<string, string>,
  options: readonly string[] = [],
): Promise<Program & { url: string }> {
  const program = startProgram(SERVICE, { PORT: '0', LOG_LEVEL: 'info', ...env }, options);
  const [, url] = await program.printed(/Matside is running at (http:\S+)/);
  return { ...program, url: url ?? '' };
}

/** The process id of the embedded server on that data folder, from the file it keeps; null when it is stopped. */
export async function embeddedPid(dataDir: string): Promise<number | null> {
  const file = join(dataDir, 'postgres', 'data', 'postmaster.pid');
  const text = await readFile(file, 'utf8').catch(() => null);
  return text === null ? null : Number(text.split('\n')[0]);
}
