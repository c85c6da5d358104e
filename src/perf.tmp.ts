import { coverTimeline, headroom } from './cover/index.ts';
import type { Rule, Test } from './cover/types.ts';
import { ruleOf } from './enforcement/rule-codec.ts';
import { trialFloor, likeAthlete } from './features/ratios/trial-floor.ts';
import { stepsFor } from './features/ratios/trial-cost.ts';
import { CoverTrial } from './features/ratios/trial-schema.ts';
import { TrialRule } from './features/ratios/rule-schema.ts';
import { storedFrom } from './features/ratios/written.ts';
function run(name: string, ruleBody: unknown, n: number, staffN: number, athletesN: number, spotted: number, more: object = {}) {
  const rules: Rule[] = Array.from({ length: n }, (_, i) => ({
    ...ruleOf(storedFrom(TrialRule.parse(ruleBody))), id: `r${i}`, version: 1, owner: 'franchise', inForce: { from: '2000-01-01', to: null },
  }));
  const trial = CoverTrial.parse({
    rules: [{ standard: 'x' }],
    athletes: Array.from({ length: athletesN }, (_, i) => ({ ageMonths: 24 + (i % 150) })),
    staff: Array.from({ length: staffN }, (_, i) => ({ ageYears: 20 + (i % 30), qualifications: [{ kind: 'spotting' }] })),
    stations: Array.from({ length: spotted }, () => ({ spotting: { mode: 'hands-on', kind: 'spotting' } })),
    ...more,
  });
  const floor = trialFloor(trial, '2026-09-14', rules);
  const steps = stepsFor(floor);
  if (steps > 5e7) { console.log(name, steps.toExponential(1), 'refused'); return; }
  let t = performance.now();
  const c = coverTimeline(floor);
  const one = performance.now() - t;
  t = performance.now();
  const h = headroom(floor, 'block', likeAthlete({ ageMonths: 100, traits: [], category: null }, '2026-09-14'));
  console.log(name, steps.toExponential(1), 'one', one.toFixed(1), 'ms headroom', (performance.now() - t).toFixed(0), 'ms', c.every((x) => x.covered), h);
}
const anybody = { who: { test: 'all', of: [] }, share: '1', maxOf: null };
const band = (per: string) => [{ id: 'a', limits: [{ athletesPerCoach: per }] }];
run('plain', { bands: band('1000'), counts: [anybody] }, 20, 60, 1, 20);
run('plain few', { bands: band('1000'), counts: [anybody] }, 20, 60, 1, 0);
run('does-not-count 10/4', { bands: band('1'), counts: [anybody], whileSpotting: 'does-not-count' }, 1, 10, 11, 4);
run('does-not-count 16/6', { bands: band('1'), counts: [anybody], whileSpotting: 'does-not-count' }, 1, 16, 11, 6);
run('does-not-count 12/5 ok', { bands: band('2'), counts: [anybody], whileSpotting: 'does-not-count' }, 5, 12, 1, 5);
run('does-not-count 60/20', { bands: band('1'), counts: [anybody], whileSpotting: 'does-not-count' }, 20, 60, 61, 20);
run('fill', { bands: Array.from({ length: 29 }, (_, i) => ({ id: `b${i}`, from: { months: i * 5 }, to: { months: i * 5 + 5 }, limits: [{ athletesPerCoach: `${100 + i}` }] })).concat([{ id: 'z', from: { months: 145 }, limits: [{ athletesPerCoach: '1000' }] } as never]), counts: [anybody], mixed: { method: 'fill' } }, 20, 60, 1, 20);
const older = { test: 'older-than-athletes', byYears: 1 };
const heavy = { bands: band('1000'), counts: [...Array.from({ length: 19 }, () => ({ who: { test: 'all', of: [...Array(11).fill(older), { test: 'any', of: [] }] }, share: '1', maxOf: null })), anybody] };
run('older', heavy, 1, 60, 1, 0);
run('older200', heavy, 1, 60, 199, 0);
const sup = { bands: band('1000'), counts: [...Array.from({ length: 3 }, () => ({ who: { test: 'supervised', by: { test: 'all', of: [...Array(11).fill(older), { test: 'any', of: [] }] } }, share: '1', maxOf: null })), anybody] };
run('supervised older', sup, 1, 60, 1, 0);
run('supervised older 199', sup, 1, 60, 199, 0);
const superv = { bands: band('1000'), counts: [anybody], supervision: [{ supervisor: { test: 'age', atLeastYears: 25 }, anyOf: [[{ who: { test: 'age', atLeastYears: 20 }, max: 1 }], [{ who: { test: 'age', atLeastYears: 21 }, max: 2 }]] }] };
run('supervision 8', superv, 1, 8, 1, 0);
run('supervision 12', superv, 1, 12, 1, 0);
run('supervision 60', superv, 5, 60, 1, 0);
run('helpers 60/10', { bands: band('1'), counts: [anybody] }, 1, 60, 0, 0, { athletes: [{ ageMonths: 50, count: 10, helpers: Array.from({ length: 10 }, (_, i) => `coach ${i + 1}`) }, { ageMonths: 50, count: 80 }] });
run('helpers 8/3', { bands: band('1'), counts: [anybody] }, 1, 8, 0, 0, { athletes: [{ ageMonths: 50, count: 3, helpers: Array.from({ length: 8 }, (_, i) => `coach ${i + 1}`) }, { ageMonths: 50, count: 80 }] });
const nested: Test = { test: 'supervised', by: { test: 'supervised', by: { test: 'supervised', by: { test: 'any', of: [] } } } };
run('nested', { bands: band('1000'), counts: [{ who: nested, share: '1', maxOf: null }, anybody] }, 1, 60, 1, 0);
const two: Test = { test: 'supervised', by: { test: 'supervised', by: { test: 'any', of: [] } } };
run('nested 2', { bands: band('1000'), counts: [{ who: two, share: '1', maxOf: null }, anybody] }, 1, 60, 1, 0);
const floors = { floors: [{ fromAthletes: 1, posts: Array.from({ length: 10 }, () => ({ people: 20, who: { test: 'age', atLeastYears: 20 } })), toAthletes: null }] };
run('floors', floors, 1, 60, 1, 0);
run('floors x20', floors, 20, 60, 1, 0);
