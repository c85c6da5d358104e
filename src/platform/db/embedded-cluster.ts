import { randomBytes } from 'node:crypto';
import { chown, mkdir, readdir, readFile, realpath, rename, rm, stat, writeFile } from 'node:fs/promises';
import { basename, dirname, join } from 'node:path';
import { z } from 'zod';
import { CannotStart, errorCode, lastLines, messageOf } from '../cannot-start.ts';
import {
  type Binaries,
  chooseUser,
  findBinaries,
  isAlive,
  isServerOn,
  reachableBy,
  run,
  type ServerUser,
} from './embedded-process.ts';

/** The files of one embedded server, and who runs it. */
export interface Cluster {
  folder: string;
  /** PostgreSQL's own data directory, inside the folder. */
  data: string;
  logFile: string;
  passwords: Passwords;
  user: ServerUser;
  binaries: Binaries;
}

const Passwords = z.strictObject({ owner: z.string(), service: z.string() });
type Passwords = z.infer<typeof Passwords>;

/**
 * The cluster in `folder`, made first if it isn't there. It is made under another name and then moved into place, so
 * that a start which is killed half-way, or another one at the same time, does no harm.
 *
 * @throws CannotStart when the folder can't be read or written.
 */
export async function prepareCluster(folder: string, owner: string): Promise<Cluster> {
  const parent = dirname(folder);
  try {
    await mkdir(parent, { recursive: true });
    // One spelling, by which a running server is known as ours.
    return await clusterIn(join(await realpath(parent), basename(folder)), owner);
  } catch (error) {
    if (error instanceof CannotStart) throw error;
    throw new CannotStart(
      `The data folder ${parent} can't be used (${errorCode(error) ?? messageOf(error)}); let this user read and write it, or set DATA_DIR to another folder.`,
    );
  }
}

async function clusterIn(folder: string, owner: string): Promise<Cluster> {
  const parent = dirname(folder);
  const data = join(folder, 'data');
  const user = await chooseUser(data, parent);
  const binaries = await reachableBy(user, await findBinaries());
  if (!(await readdir(parent)).includes(basename(folder))) await makeCluster(folder, owner, user, binaries);
  await readdir(data);
  const passwords = Passwords.parse(JSON.parse(await readFile(join(folder, 'passwords.json'), 'utf8')));
  return { folder, data, logFile: join(folder, 'server.log'), passwords, user, binaries };
}

async function makeCluster(folder: string, owner: string, user: ServerUser, binaries: Binaries): Promise<void> {
  await removeLeftovers(folder);
  const draft = `${folder}.new-${process.pid}`;
  const passwordFile = join(draft, 'initdb-password');
  const passwords: Passwords = { owner: randomBytes(24).toString('hex'), service: randomBytes(24).toString('hex') };
  await mkdir(draft, { mode: 0o700 });
  await writeFile(join(draft, 'passwords.json'), JSON.stringify(passwords), { mode: 0o600 });
  await writeFile(passwordFile, passwords.owner, { mode: 0o600 });
  if (user.owner !== null) {
    for (const path of [draft, passwordFile]) await chown(path, user.owner.uid, user.owner.gid);
  }
  const { code, output } = await run(user, [
    binaries.initdb,
    `--pgdata=${join(draft, 'data')}`,
    `--username=${owner}`,
    `--pwfile=${passwordFile}`,
    '--auth=scram-sha-256',
    '--encoding=UTF8',
    '--locale=C.UTF-8',
  ]);
  await rm(passwordFile, { force: true });
  if (code !== 0) {
    await rm(draft, { recursive: true, force: true });
    throw new CannotStart(`The embedded database could not be made in ${dirname(folder)}: ${lastLines(output)}.`);
  }
  await rename(draft, folder).catch(async (error: unknown) => {
    await rm(draft, { recursive: true, force: true });
    // Another process, starting at the same time, was faster: its cluster is as good.
    if (!['ENOTEMPTY', 'EEXIST'].includes(errorCode(error) ?? '')) throw error;
  });
}

/** What starts that were killed half-way left behind. */
async function removeLeftovers(folder: string): Promise<void> {
  const start = `${basename(folder)}.new-`;
  const drafts = (await readdir(dirname(folder))).filter((name) => name.startsWith(start));
  for (const draft of drafts) {
    if (!isAlive(Number(draft.slice(start.length)))) {
      await rm(join(dirname(folder), draft), { recursive: true, force: true });
    }
  }
}

/** The server that runs on this cluster, or is just starting (port 0) or stopping; null where there is none. */
export async function findRunning({ data }: Cluster): Promise<{ port: number } | null> {
  const pidFile = join(data, 'postmaster.pid');
  const lines = (await readFile(pidFile, 'utf8').catch(() => '')).split('\n');
  const pid = Number(lines[0]);
  const port = Number(lines[3]);
  if (!pid) return null;
  if (await isServerOn(data, pid)) return { port: port || 0 };
  // Left by a crash. If its number has gone to another process since, PostgreSQL would take that one for a server.
  if (isAlive(pid)) await rm(pidFile, { force: true });
  return null;
}

/**
 * Starts the server and waits until it takes connections.
 *
 * @returns `busy` when another process starts or stops it at this moment.
 * @throws CannotStart with the log's last lines when it won't start.
 */
export async function startServer(
  cluster: Cluster,
  port: number,
  settings: Record<string, string>,
): Promise<'started' | 'port-taken' | 'busy'> {
  const { binaries, data, logFile, user, folder } = cluster;
  const all = {
    port,
    listen_addresses: '127.0.0.1',
    unix_socket_directories: '',
    log_error_verbosity: 'terse', // The detail of an error quotes rows, and so people.
    ...settings,
  };
  const flags = Object.entries(all).map(([name, value]) => `-c ${name}='${value}'`);
  const logged = await stat(logFile).then(
    ({ size }) => size,
    () => 0,
  );
  const { code, output } = await run(user, [
    ...[binaries.pg_ctl, 'start', '-w', '-t', '60', '-D', data, '-l', logFile, '-o', flags.join(' ')],
  ]);
  if (code === 0) return 'started';
  // Others may write to the same log meanwhile, so it is searched rather than read from its end.
  const log = (await readFile(logFile).catch(() => Buffer.from(output))).subarray(logged).toString();
  if (/could not bind|could not create any TCP/.test(log)) return 'port-taken';
  if (/postmaster\.pid|pre-existing shared memory/.test(log) || (await findRunning(cluster)) !== null) return 'busy';
  throw new CannotStart(`The embedded database in ${folder} does not start: ${lastLines(log) || lastLines(output)}.`);
}

/** Stops the server and waits until it is gone; connections that are still open are ended. */
export async function stopServer({ binaries, data, user }: Cluster): Promise<void> {
  await run(user, [binaries.pg_ctl, 'stop', '-w', '-t', '30', '-m', 'fast', '-D', data]);
}
