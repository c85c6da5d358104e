import { randomBytes } from 'node:crypto';
import { link, mkdir, readFile, rm, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import type { TokenKey } from './config.ts';
import { CannotStart, errorCode } from './platform/cannot-start.ts';

/**
 * The key that signs access tokens beside the embedded database: made at the first start, kept in the data folder,
 * readable by this user alone. Processes that start at once end up with the same one.
 *
 * @throws CannotStart when the folder or the file can't be used.
 */
export async function keptTokenKey(dataDir: string): Promise<TokenKey> {
  const file = join(dataDir, 'token-key');
  const draft = `${file}.new-${process.pid}`;
  try {
    await mkdir(dataDir, { recursive: true });
    const fresh = `${randomBytes(4).toString('hex')}:${randomBytes(32).toString('hex')}\n`;
    await writeFile(draft, fresh, { mode: 0o600 });
    // A link, unlike a rename, leaves a file alone that is there already.
    await link(draft, file).catch((error: unknown) => {
      if (errorCode(error) !== 'EEXIST') throw error;
    });
    await rm(draft);
    const [kid, secret] = (await readFile(file, 'utf8')).trim().split(':');
    if (kid && secret) return { kid, secret };
  } catch (error) {
    throw new CannotStart(
      `The data folder ${dataDir} can't be used (${errorCode(error) ?? 'no reason given'}); let this user read and write it, or set DATA_DIR to another folder.`,
    );
  }
  throw new CannotStart(`The file ${file} is damaged; delete it, and everybody will have to sign in again.`);
}
