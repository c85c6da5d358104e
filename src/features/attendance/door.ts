import { type Cover, compare, coverTimeline, type Finding, narrowed } from '../../cover/index.ts';
import { liveFloor, loadOnRecord } from '../../enforcement/live-floor.ts';
import type { GymFloor } from '../../enforcement/load-floor.ts';
import { loadNames } from '../../enforcement/names.ts';
import type { Attended } from '../../enforcement/recorded.ts';
import { type FindingOnWire, findingOnWire } from '../../enforcement/wire.ts';
import type { Context } from '../../platform/context.ts';
import type { Coming } from './arrivals.ts';

/** What letting somebody in is over, by athlete; nothing for those who fit. `floor` has whoever that is about. */
export interface AtTheDoor {
  floor: GymFloor;
  over: Map<string, Finding[]>;
}

export interface Judged {
  over(one: { athleteId: string }): Finding[];
  /** Codes of what letting them in is over, in their order. */
  codes(one: { athleteId: string }): string[];
  floors: AtTheDoor[];
}

/** Judges those who would be let in, of each day in turn; in the order in which they were named. */
export async function judgeAll(ctx: Context, gymId: string, entering: readonly Coming[], at: Date): Promise<Judged> {
  const floors: AtTheDoor[] = [];
  for (const day of new Set(entering.map((one) => one.day))) {
    const those = entering.filter((one) => one.day === day);
    floors.push(await judgeArrivals(ctx, gymId, day, those, at));
  }
  const over = ({ athleteId }: { athleteId: string }) => floors.flatMap((floor) => floor.over.get(athleteId) ?? []);
  return { over, codes: (one) => [...new Set(over(one).map(({ code }) => String(code)))].sort(), floors };
}

/** What letting each in is over, with sentences, by athlete. */
export async function alertsOf(ctx: Context, { floors }: Judged): Promise<Map<string, FindingOnWire[]>> {
  const alerts = new Map<string, FindingOnWire[]>();
  for (const { floor, over } of floors) {
    if (over.size === 0) continue;
    const names = await loadNames(ctx, floor);
    for (const [athleteId, findings] of over) {
      alerts.set(
        athleteId,
        findings.map((one) => findingOnWire(one, names)),
      );
    }
  }
  return alerts;
}

/**
 * Judges each arrival in turn against whoever is there then, or will be when their session starts: the live floor of
 * that moment, with and without them. A finding counts when it was not there before them, or is worse with them.
 */
async function judgeArrivals(
  ctx: Context,
  gymId: string,
  day: string,
  coming: readonly Coming[],
  at: Date,
): Promise<AtTheDoor> {
  const momentOf = ({ startsAt }: Coming) => Math.max(at.getTime(), startsAt.getTime());
  const moments = coming.map(momentOf);
  const { planned, recorded } = await loadOnRecord(
    ctx,
    { gymId, day },
    { from: Math.min(at.getTime(), ...moments), to: Math.max(...moments) + 1 },
    coming.map(({ athleteId }) => athleteId),
  );
  let attended = recorded.attended;
  const coversAt = (moment: number, attended: readonly Attended[]) => {
    const live = liveFloor(planned, { ...recorded, attended }, at.getTime());
    return coverTimeline(narrowed(live, { from: moment, to: moment + 1 }));
  };
  const over = new Map<string, Finding[]>();
  for (const one of coming) {
    const moment = momentOf(one);
    const before = attended;
    attended = [...before, arrived(one, at)];
    const then = coversAt(moment, attended);
    const findings = then.some(({ covered }) => !covered) ? worse(coversAt(moment, before), then) : [];
    const theirs = findings.filter(({ unit }) => unit.per !== 'session' || unit.id === one.sessionId);
    if (theirs.length > 0) over.set(one.athleteId, theirs);
  }
  return { floor: { gymId, day, floor: planned }, over };
}

const arrived = ({ athleteId, sessionId, groupId, startsAt, endsAt }: Coming, at: Date): Attended => ({
  athleteId,
  sessionId,
  groupId,
  state: 'present',
  since: at.getTime(),
  startsAt: startsAt.getTime(),
  endsAt: endsAt.getTime(),
  stays: [{ from: at.getTime(), to: null }],
});

/** Findings that uncover, and that were not there before or are larger now. */
function worse(before: readonly Cover[], after: readonly Cover[]): Finding[] {
  const uncovering = (covers: readonly Cover[]) =>
    covers.flatMap(({ findings }) => findings.filter((one) => one.strength === 'refuse' && one.override === null));
  const keyOf = ({ unit, code, rule }: Finding) => `${unit.per} ${unit.id} ${code} ${rule}`;
  const were = new Map(uncovering(before).map((finding) => [keyOf(finding), finding]));
  return uncovering(after).filter((finding) => {
    const was = were.get(keyOf(finding));
    return was === undefined || compare(finding.short, was.short) > 0;
  });
}
