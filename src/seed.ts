import { readConfig } from './config.ts';
import { seedDemo } from './demo/seed.ts';
import { keepDemoFacts } from './demo-facts.ts';
import { openDatabase } from './platform/db/open.ts';
import { createLog } from './platform/log.ts';
import { runProgram } from './platform/process.ts';

/** `npm run db:seed`: loads the demo franchise beside whatever is there. */
await runProgram(async () => {
  const config = readConfig('database');
  const log = createLog(config.logLevel);
  const database = await openDatabase(config, log);
  try {
    const facts = await seedDemo({ pool: database.pool, log, now: () => new Date() });
    if (config.database.kind === 'embedded') await keepDemoFacts(config.dataDir, facts);
    console.log('The demo franchise is loaded. Its sign-ins:');
    for (const { role, email, password, who } of facts.signIns)
      console.log(`  ${role}: ${email} / ${password} (${who})`);
  } finally {
    await database.close();
  }
});
