import { parseArgs } from 'node:util';
import { readConfig } from './config.ts';
import { createFranchise } from './features/identity/create-franchise.ts';
import { CannotStart } from './platform/cannot-start.ts';
import { openDatabase } from './platform/db/open.ts';
import { Email, Name } from './platform/http/wire.ts';
import { createLog } from './platform/log.ts';
import { runProgram } from './platform/process.ts';

const USAGE = 'npm run franchise -- --name "Saltmarsh Gymnastics" --owner someone@example.org';

/** For whoever runs the service: makes a franchise, and prints the one-time link by which its first owner joins. */
await runProgram(async () => {
  const { name, owner } = readArguments();
  const config = readConfig('database');
  const database = await openDatabase(config, createLog('warn'));
  try {
    const services = { pool: database.pool, now: () => new Date() };
    const { franchiseId, link } = await createFranchise(services, { name, ownerEmail: owner });
    const body = { token: link.token, password: 'a password of their own' };
    console.log(`The franchise "${name}" is there; its id is ${franchiseId}.`);
    console.log(`Hand this one-time token to ${owner}; it is good until ${link.expiresAt}, and is shown only now:`);
    console.log(`\n  ${link.token}\n`);
    console.log('They join by sending it with a password, the one they have if the address has an account already:\n');
    console.log(
      `  curl -X POST ${config.publicUrl ?? `http://${config.host}:${config.port}`}/v1/one-time-links/redeem \\`,
    );
    console.log(`    -H 'Content-Type: application/json' -d '${JSON.stringify(body)}'`);
  } finally {
    await database.close();
  }
});

function readArguments(): { name: string; owner: string } {
  try {
    const { values } = parseArgs({ options: { name: { type: 'string' }, owner: { type: 'string' } } });
    const name = Name.safeParse(values.name);
    const owner = Email.safeParse(values.owner);
    if (name.success && owner.success) return { name: name.data, owner: owner.data };
  } catch {
    // An option that there is not; the same sentence helps.
  }
  throw new CannotStart(`Say the franchise's name and its owner's e-mail address, such as: ${USAGE}`);
}
