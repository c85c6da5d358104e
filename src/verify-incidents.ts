import { asc } from 'drizzle-orm';
import type { Pool } from 'pg';
import { readConfig } from './config.ts';
import { verifyChain } from './features/incidents/chain.ts';
import { CannotStart } from './platform/cannot-start.ts';
import { openDatabase } from './platform/db/open.ts';
import { asSystem, ours } from './platform/db/tenant.ts';
import { newId } from './platform/ids.ts';
import { inFranchise } from './platform/in-franchise.ts';
import { createLog } from './platform/log.ts';
import { runProgram } from './platform/process.ts';
import { accountFranchises, CHAINS, gyms } from './tables/index.ts';

/** `npm run incidents:verify`: follows every gym's chains of incident notes and of concerns, and names the first link that does not hold. */
await runProgram(async () => {
  const database = await openDatabase(readConfig('database'), createLog('warn'));
  try {
    const broken = await verifyAll(database.pool);
    if (broken > 0) throw new CannotStart(`${broken} of the chains do not hold; see above.`);
  } finally {
    await database.close();
  }
});

/** Two lines a gym; gives how many chains do not hold. */
async function verifyAll(pool: Pool): Promise<number> {
  const franchises = await asSystem(pool, 'every franchise has its chains', (tx) =>
    tx.selectDistinct({ id: accountFranchises.franchiseId }).from(accountFranchises),
  );
  let broken = 0;
  for (const { id: franchiseId } of franchises) {
    const acting = { pool, franchiseId, now: () => new Date(), requestId: newId(), readOnly: true };
    await inFranchise(acting, async (ctx) => {
      const all = await ctx.tx
        .select({ id: gyms.id, name: gyms.name })
        .from(gyms)
        .where(ours(ctx, gyms))
        .orderBy(asc(gyms.id));
      for (const gym of all) {
        for (const of of CHAINS) {
          const chain = await verifyChain(ctx, gym.id, of);
          if (chain.broken) broken += 1;
          const { number, incidentId, why } = chain.broken ?? { number: 0, incidentId: null, why: '' };
          const fault = `link ${number} does not hold: ${why}${incidentId === null ? '' : ` Incident ${incidentId}.`}`;
          const whole = `${chain.links} links, intact; the head is ${chain.head}`;
          console.log(`${gym.name} (${gym.id}), ${of}: ${chain.intact ? whole : fault}`);
        }
      }
    });
  }
  return broken;
}
