import { parseArgs } from 'node:util';
import { readConfig } from './config.ts';
import { makeOperatorLink } from './features/identity/reset-password.ts';
import { CannotStart } from './platform/cannot-start.ts';
import { openDatabase } from './platform/db/open.ts';
import { createLog } from './platform/log.ts';
import { runProgram } from './platform/process.ts';

const USAGE = 'npm run password-link -- --for someone@example.org';

/** For whoever runs the service: a one-time link to a new password, for an account that no one franchise may reset. */
await runProgram(async () => {
  const email = readAddress();
  const database = await openDatabase(readConfig('database'), createLog('warn'));
  try {
    const link = await makeOperatorLink({ pool: database.pool, now: () => new Date() }, email);
    if (!link) throw new CannotStart(`Nobody with the address ${email} has joined a franchise here.`);
    console.log(`Hand this one-time token to ${email}; it is good until ${link.expiresAt}, and is shown only now:`);
    console.log(`\n  ${link.token}\n`);
    console.log('They send it with a new password to POST /v1/one-time-links/redeem.');
  } finally {
    await database.close();
  }
});

function readAddress(): string {
  try {
    const { values } = parseArgs({ options: { for: { type: 'string' } } });
    if (values.for) return values.for;
  } catch {
    // An option that there is not; the same sentence helps.
  }
  throw new CannotStart(`Say whose password it is, such as: ${USAGE}`);
}
