import { parseArgs } from 'node:util';
import { report } from './report.ts';
import { type Break, torture } from './torture.ts';

// npm run torture -- --minutes N --seed S
// Each client's choices follow from the seed; how they interleave does not, so a seed tells a run again only roughly.

const { values } = parseArgs({
  options: {
    minutes: { type: 'string', default: '1' },
    seed: { type: 'string', default: String(Date.now() % 1_000_000) },
    services: { type: 'string', default: '3' },
    clients: { type: 'string', default: '14' },
  },
});
const [minutes, seed] = [Number(values.minutes), Number(values.seed)];
if (!(minutes > 0) || !Number.isSafeInteger(seed)) throw new Error('npm run torture -- --minutes 10 --seed 1');
console.log(`Torture for ${minutes} minutes with seed ${seed}.`);

const BREAKS: readonly Break[] = ['kill', 'kill', 'stop database', 'both'];
const FEWEST_ACTS = 8;
const MORE_ACTS = 40;
const done = await torture({
  seed,
  services: Number(values.services),
  clients: Number(values.clients),
  goesOn: (_acts, forMs) => forMs < minutes * 60_000,
  nextBreak: (chance) => ({ afterActs: FEWEST_ACTS + chance.below(MORE_ACTS), what: chance.pick(BREAKS) }),
  replayEvery: 3,
});
console.log(report(seed, done));
process.exitCode = done.faults.length === 0 ? 0 : 1;
