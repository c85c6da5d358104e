import { expect, test } from 'vitest';
import { endPrograms } from './support/service.ts';
import { report } from './torture/report.ts';
import { torture } from './torture/torture.ts';

// A short run of `npm run torture`: as long as so many things take, with one service killed and the database stopped once.

const SEED = 20_261_126;
const ACTS = 60;
const BREAKS = ['kill', 'stop database'] as const;

test('with a service killed and the database stopped, nothing is lost, doubled or violated', async () => {
  try {
    const done = await torture({
      seed: SEED,
      services: 3,
      clients: 12,
      goesOn: (acts, _forMs, breaks) => acts < ACTS || breaks < BREAKS.length,
      nextBreak: (_chance, breaks) => {
        const what = BREAKS[breaks];
        return what ? { afterActs: 15, what } : null;
      },
      replayEvery: 3,
    });
    console.log(report(SEED, done));
    expect(done.faults).toEqual([]);
    expect([done.kills, done.restarts, done.databaseStops]).toEqual([1, 1, 1]);
    expect(done.blocksJudged).toBeGreaterThan(0);
    expect(done.log.sent.length).toBeGreaterThanOrEqual(ACTS / 2);
    expect(done.checks).toBeGreaterThan(done.log.sent.length);
  } finally {
    endPrograms();
  }
});
