import type { Tortured } from './torture.ts';

const MOST_OF_A_KIND = 2;
const LONGEST = 700;

/** What a run did and found, for people. */
export function report(seed: number, done: Tortured): string {
  const { log, faults } = done;
  const yes: string[] = [];
  const no = new Map<string, number>();
  for (const [name, count] of [...log.answers].sort(([a], [b]) => (a < b ? -1 : 1))) {
    const refusal = /^(.*) (\d{3}) (\S+)$/.exec(name);
    if (refusal === null) yes.push(`${name.replace(/ \d{3}$/, '')} ${count}`);
    else no.set(refusal[3]!, (no.get(refusal[3]!) ?? 0) + count);
  }
  const requests = [...log.answers.values()].reduce((sum, count) => sum + count, 0);
  const retried = log.sent.filter((one) => one.retried || one.dropped);
  const replayed = log.sent.filter(({ answer }) => answer.replayed);
  return [
    `Torture with seed ${seed}: ${done.seconds} seconds, ${requests} requests, ${log.sent.length} of them writes.`,
    `  Done: ${yes.join(', ')}.`,
    `  Refused: ${[...no].map(([code, count]) => `${code} ${count}`).join(', ')}.`,
    `  Answers lost: ${log.lost}, thrown away: ${log.dropped}, 500: ${log.broken.length}; asked to come back: ${log.busy}. ` +
      `Unknown outcomes asked again: ${retried.length}, of which ${replayed.length} had been done the first time.`,
    `  Services killed: ${done.kills}, started again: ${done.restarts}. Database stopped at once: ${done.databaseStops}.`,
    `  Looks: ${done.looks}, with ${done.blocksJudged} confirmed blocks judged. Checks at the end: ${done.checks}.`,
    faults.length === 0
      ? '  Nothing lost, nothing doubled, nothing violated.'
      : `  WRONG, ${faults.length} times:\n${byKind(faults).join('\n')}`,
  ].join('\n');
}

/** Each kind of fault, which is what it says before the colon: how often, and the first of them whole. */
function byKind(faults: readonly string[]): string[] {
  const kinds = new Map<string, string[]>();
  for (const fault of faults) {
    const kind = fault.replace(/^at look .*?Z: /, '').split(':')[0]!;
    kinds.set(kind, [...(kinds.get(kind) ?? []), fault]);
  }
  return [...kinds].flatMap(([kind, its]) => [
    `    ${kind}: ${its.length}`,
    ...its.slice(0, MOST_OF_A_KIND).map((fault) => `      ${fault.slice(0, LONGEST)}`),
  ]);
}
