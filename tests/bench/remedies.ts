import { type Call, closedLoop, sendOrFail } from './load.ts';
import type { Result } from './result.ts';
import type { House } from './stage.ts';
import { median, quantile } from './statistics.ts';

/** A coach of the day calls in sick: recorded as a question, which judges the day and looks for remedies. */
export async function measureRemedies(house: House, quick: boolean): Promise<Result> {
  const { gymDay } = house;
  const now = Date.now();
  const body = {
    personId: gymDay.coaches[0],
    startsAt: new Date(now).toISOString(),
    endsAt: new Date(now + 8 * 60 * 60_000).toISOString(),
  };
  const call: Call = { method: 'POST', path: `/v1/gyms/${gymDay.gym.id}/absences?dryRun=true`, body };
  const side = house.as(gymDay.manager);
  const { settled } = JSON.parse((await sendOrFail(side, call)).text);
  const told = JSON.stringify(settled);
  if (!told.includes('"remedies":[{')) throw new Error(`an absence is meant to need remedies: ${told.slice(0, 300)}`);
  const calls = (count: number) => Array.from({ length: count }, () => call);
  await closedLoop(side, 1, calls(10));
  const { latencies } = await closedLoop(side, 1, calls(quick ? 20 : 200));
  return {
    name: 'Remedies',
    how: `one absence of eight hours as a dry run over HTTP, one at a time, ${latencies.length} times; the day has ${gymDay.sessions.length} sessions`,
    figures: [
      {
        what: 'an absence with its remedies, median',
        value: median(latencies),
        unit: 'ms',
        target: { at: 'below', value: 300 },
      },
      { what: 'an absence with its remedies, p99', value: quantile(latencies, 0.99), unit: 'ms', target: null },
    ],
  };
}
