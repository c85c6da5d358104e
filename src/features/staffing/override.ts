import {
  coverOf,
  equal,
  type Finding,
  type Floor,
  type Fraction,
  formatFraction,
  isExcusedBy,
  localDay,
  parseFraction,
  type Span,
} from '../../cover/index.ts';
import { asChoice } from '../../enforcement/choice.ts';
import { floorAt } from '../../enforcement/floors.ts';
import { lockCover } from '../../enforcement/lock.ts';
import type { Context } from '../../platform/context.ts';
import { invalid, refuse } from '../../platform/problem.ts';
import { zoneOf } from '../gyms/repo.ts';
import { asIfConfirmed } from './cover.ts';
import * as overrides from './overrides-repo.ts';
import type { NewOverride, Override } from './schema.ts';

/**
 * Accepts a finding by name, with a reason: unit, span, code, rule, subjects and the largest shortfall. There has to be
 * such a finding now, and its rule has to allow it; a plan withdrawn for safety is never overridden.
 */
export async function acceptFinding(ctx: Context, gymId: string, override: NewOverride): Promise<Override> {
  const { accountId } = ctx;
  if (accountId === null) throw new Error('an override is always somebody’s');
  const zone = await zoneOf(ctx, gymId);
  const span = { from: Date.parse(override.startsAt), to: Date.parse(override.endsAt) };
  if (span.from >= span.to) throw invalid('/endsAt', 'Expected an end after the start.');
  if (span.to <= ctx.now.getTime()) throw refuse('already-over', 'That span is over.');
  const day = localDay(zone, span.from);
  if (localDay(zone, span.to - 1) !== day) throw invalid('/endsAt', 'Expected an end on the same day.');

  const lock = await lockCover(ctx, 'choice', async () => ({ days: [{ gymId, day }] }));
  const { done } = await asChoice(ctx, lock, async (before) => {
    const { floor } = floorAt(before, gymId, day);
    refuseUnlessThere(floor, override, span);
    refuseTwice(floor, override, span);
    return overrides.insertOverride({ ...ctx, accountId }, lock, { gymId, day }, override);
  });
  const { unit, code, ruleId, short, reason } = override;
  await ctx.record('staffing.override-accepted', { subjectId: done.id, gymId }, { unit, code, ruleId, short, reason });
  return overrides.overrideOnWire(done);
}

function refuseUnlessThere(floor: Floor, override: NewOverride, span: { from: number; to: number }): void {
  const { unit, code, ruleId } = override;
  const rule = floor.rules.find(({ id }) => id === ruleId);
  if (code === 'plan-withdrawn') throw refuse('not-overridable', 'A plan withdrawn for safety is not overridden.');
  if (rule?.overridable === false) throw refuse('not-overridable', 'That rule forbids it.');
  const known =
    unit.per === 'premises'
      ? unit.id === floor.gym
      : floor.blocks.some(({ id, session }) => unit.id === (unit.per === 'block' ? id : session));
  if (!known) throw invalid('/unit/id', 'There is no such unit at this gym on that day.');
  const all = asIfConfirmed(floor, ...floor.blocks.map(({ id }) => id));
  const found = [floor, all].flatMap((seen) =>
    coverOf(seen, unit).flatMap(({ findings }) => findings.filter((finding) => isNamed(finding, override, span))),
  );
  if (found.length === 0)
    throw refuse('not-overridable', 'There is no such finding in that span: read the cover again.');
  const from = Math.min(...found.map((finding) => finding.span.from));
  const to = Math.max(...found.map((finding) => finding.span.to));
  if (span.from < from || span.to > to) {
    const own = `${new Date(from).toISOString()} to ${new Date(to).toISOString()}`;
    throw invalid('/startsAt', `Expected no more than the finding's own span, ${own}.`);
  }
  refuseOtherShortfall(parseFraction(override.short), found);
}

/** One that excuses nothing more than another does would stay behind when that is withdrawn. */
function refuseTwice({ overrides }: Floor, named: NewOverride, span: Span): void {
  const { unit, code, ruleId: rule } = named;
  const subjects = named.subjects.map((id) => ({ id }));
  const accepted = { unit, code, rule, span, subjects, short: parseFraction(named.short) };
  const known = overrides.find((one) => isExcusedBy(accepted, one));
  if (known) throw refuse('already-exists', `That is accepted already, by the override ${known.id}.`);
}

/** What is accepted is a shortfall that is there: less would excuse nothing, more would excuse what nobody has seen. */
function refuseOtherShortfall(accepted: Fraction, found: readonly Finding[]): void {
  if (found.some(({ short }) => equal(accepted, short))) return;
  const shortfalls = [...new Set(found.map(({ short }) => formatFraction(short)))].join(' or ');
  throw invalid('/short', `Expected the shortfall of the finding, ${shortfalls}.`);
}

const isNamed = (finding: Finding, { code, ruleId, subjects }: NewOverride, span: { from: number; to: number }) =>
  finding.code === code &&
  finding.rule === ruleId &&
  finding.span.from < span.to &&
  finding.span.to > span.from &&
  [...subjects].sort().join() ===
    finding.subjects
      .map(({ id }) => id)
      .sort()
      .join();

/** Takes an override back: refused when that would uncover a confirmed block. */
export async function withdrawOverride(ctx: Context, gymId: string, overrideId: string): Promise<Override> {
  const get = () => overrides.getOverride(ctx, gymId, overrideId);
  const lock = await lockCover(ctx, 'choice', async () => ({ days: [{ gymId, day: (await get()).day }] }));
  const { done } = await asChoice(ctx, lock, () => overrides.setOverrideWithdrawn(ctx, lock, overrideId));
  await ctx.record('staffing.override-withdrawn', { subjectId: overrideId, gymId }, { overrideId });
  return overrides.overrideOnWire(done);
}
