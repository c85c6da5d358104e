import { z } from 'zod';
import {
  type Cover,
  compare,
  coverOf,
  type Floor,
  formatFraction,
  headroom,
  type Names,
  narrowed,
  type Span,
  type Unit,
  uncoveredBlocks,
  ZERO,
} from '../../cover/index.ts';
import { describeFindings } from '../../enforcement/describe.ts';
import { type GymFloor, loadFloor } from '../../enforcement/load-floor.ts';
import { loadNames } from '../../enforcement/names.ts';
import { CoverOnWire, coverOnWire, FindingOnWire, findingOnWire, Mending } from '../../enforcement/wire.ts';
import type { Context } from '../../platform/context.ts';
import { type Paging, pageOf, readCursor } from '../../platform/http/paging.ts';
import { Fraction, Id, Instant, instantOf, page } from '../../platform/http/wire.ts';
import * as repo from './repo.ts';

/** Is this unit covered, stretch by stretch; what of its session and the premises stands in the way; what would help. */
export const Covered = z
  .strictObject({
    covered: z.boolean().meta({ description: 'For all of its span, with its session and the premises' }),
    segments: z.array(CoverOnWire).max(500).meta({ description: 'Stretches in which nothing changes' }),
    alsoShort: z
      .array(FindingOnWire)
      .max(500)
      .meta({ description: 'Findings of its session or the premises that uncover it too' }),
    ...Mending,
  })
  .meta({ id: 'Covered' });
export type Covered = z.output<typeof Covered>;

/** The cover of one unit on its floor, with remedies for what is short. */
export async function coveredBy(ctx: Context, at: GymFloor, unit: Unit): Promise<Covered> {
  const floor = unit.per === 'block' ? asIfConfirmed(at.floor, unit.id) : at.floor;
  const seen = { ...at, floor };
  const names = await loadNames(ctx, seen);
  const segments = coverOf(floor, unit);
  const own = segments.flatMap(({ findings }) => findings);
  const lost =
    unit.per === 'block' ? (uncoveredBlocks(floor).find(({ block }) => block === unit.id)?.findings ?? []) : [];
  const others = lost.filter((finding) => finding.unit.per !== 'block');
  const named = async () => names;
  const described = await describeFindings(ctx, seen, [...own, ...others], { named });
  return {
    covered: segments.length > 0 && segments.every(({ covered }) => covered) && others.length === 0,
    segments: segments.map((cover) => coverOnWire(cover, names)),
    alsoShort: described.findings.slice(own.length),
    remedies: described.remedies,
    nearest: described.nearest,
  };
}

/** The floor with a block confirmed: what the rules per session and per premises would see. */
export const asIfConfirmed = (floor: Floor, ...blockIds: string[]): Floor => ({
  ...floor,
  blocks: floor.blocks.map((block) => (blockIds.includes(block.id) ? { ...block, confirmed: true } : block)),
});

export const BlockCover = z
  .strictObject({
    blockId: Id,
    sessionId: Id,
    name: z.string().max(400),
    startsAt: Instant,
    endsAt: Instant,
    confirmed: z.boolean(),
    covered: z.boolean(),
    athletes: z.int().min(0).max(10_000),
    needed: z
      .int()
      .min(0)
      .max(2_147_483_647)
      .meta({ description: 'Coaches, by the rule that asks for most, at its worst' }),
    counted: Fraction.meta({ description: 'What those assigned count for under that rule' }),
    staff: z
      .array(
        z.strictObject({
          personId: Id,
          name: z.string().max(300),
          duty: z.enum(['lead', 'assist', 'shadow', 'oversee']),
        }),
      )
      .max(200),
    headroom: z
      .strictObject({
        more: z.int().min(0).max(200),
        bindingRuleId: z.string().max(120).nullable(),
      })
      .nullable()
      .meta({ description: 'How many more like its youngest athlete fit now; null with nobody there' }),
    findings: z.array(FindingOnWire).max(500),
  })
  .meta({ id: 'BlockCover' });
export type BlockCover = z.output<typeof BlockCover>;

/** One line a block, for a desk: state, needed, counted, room, and why not. As if it were confirmed: what confirming it would find. */
export function blockCover({ floor }: GymFloor, names: Names, blockId: string): BlockCover {
  const block = floor.blocks.find(({ id }) => id === blockId);
  if (!block) throw new RangeError(`block ${blockId} is not on the floor`);
  const near = narrowed(asIfConfirmed(floor, blockId), block.span);
  const segments = coverOf(near, { per: 'block', id: blockId });
  const lost = uncoveredBlocks(near).find((one) => one.block === blockId)?.findings ?? [];
  const worst = worstOf(segments);
  const there = floor.athletes.filter(({ at }) => at.some(({ unit }) => unit.per === 'block' && unit.id === blockId));
  const [youngest] = [...there].sort((a, b) => ((a.born ?? '') > (b.born ?? '') ? -1 : 1));
  const room = youngest ? headroom(near, blockId, { ...youngest, person: 'one more', family: null }) : null;
  const findings = new Map(
    [...segments.flatMap((segment) => segment.findings), ...lost].map((finding) => {
      const shown = findingOnWire(finding, names);
      return [JSON.stringify(shown), shown];
    }),
  );
  return {
    blockId,
    sessionId: block.session,
    name: names.unit({ per: 'block', id: blockId }),
    startsAt: instantOf(new Date(block.span.from)),
    endsAt: instantOf(new Date(block.span.to)),
    confirmed: block.confirmed,
    covered: lost.length === 0,
    athletes: there.length,
    needed: worst?.needed ?? 0,
    counted: formatFraction(worst?.counted ?? ZERO),
    staff: floor.staff.flatMap(({ person, at }) =>
      at
        .filter(({ unit }) => unit.per === 'block' && unit.id === blockId)
        .map(({ duty }) => ({ personId: person, name: names.person(person), duty })),
    ),
    headroom: room === null ? null : { more: room.more, bindingRuleId: room.binding },
    findings: [...findings.values()],
  };
}

/** The count of the rule that asks for most, where it asks for most. */
function worstOf(segments: readonly Cover[]) {
  const binding = segments.flatMap(({ counts, binding: id }) => counts.filter(({ rule }) => rule === id));
  return binding.sort((a, b) => b.needed - a.needed || compare(a.counted, b.counted)).at(0);
}

export const BlockCoverPage = page(BlockCover, 'BlockCoverPage');

export const BlockCoverDetail = z.strictObject({ ...BlockCover.shape, ...Covered.shape }).meta({
  id: 'BlockCoverDetail',
  description: 'A block: its line, its stretches with who counts and why not, and remedies',
});

export const SessionCover = z
  .strictObject({
    sessionId: Id,
    segments: z.array(CoverOnWire).max(500).meta({ description: 'Under the rules per session' }),
    ...Mending,
    blocks: z.array(BlockCover).max(200),
  })
  .meta({ id: 'SessionCover' });

/** One block, whole. */
export async function readBlockCover(ctx: Context, gymId: string, blockId: string) {
  const { at } = await repo.getBlockUnit(ctx, gymId, blockId);
  const here = await loadFloor(ctx, at);
  const line = blockCover(here, await loadNames(ctx, here), blockId);
  return { ...line, ...(await coveredBy(ctx, here, at.unit)) };
}

/** A session under its own rules, and a line for each of its blocks. */
export async function readSessionCover(ctx: Context, gymId: string, sessionId: string) {
  const { at } = await repo.getSessionUnit(ctx, gymId, sessionId);
  const here = await loadFloor(ctx, at);
  const names = await loadNames(ctx, here);
  const { segments, remedies, nearest } = await coveredBy(ctx, here, at.unit);
  const blocks = here.floor.blocks.filter(({ session }) => session === sessionId);
  return { sessionId, segments, remedies, nearest, blocks: blocks.map(({ id }) => blockCover(here, names, id)) };
}

/** A gym's day, a line a block in the order of time; optionally only what runs at a moment. */
export async function readDayCover(
  ctx: Context,
  gymId: string,
  day: string,
  { limit, cursor, at, uncovered }: Paging & { at?: string | undefined; uncovered?: boolean | undefined },
) {
  const here = await loadFloor(ctx, { gymId, day });
  const names = await loadNames(ctx, here);
  const moment = at === undefined ? null : Date.parse(at);
  const after = readCursor(cursor, 2);
  const keyOf = ({ span, id }: { span: Span; id: string }) => [new Date(span.from).toISOString(), id] as const;
  const isAfter = (block: { span: Span; id: string }) => after === null || keyOf(block).join(' ') > after.join(' ');
  const running = here.floor.blocks
    .filter(({ span }) => moment === null || (span.from <= moment && moment < span.to))
    .filter(isAfter)
    .sort((a, b) => (keyOf(a).join(' ') < keyOf(b).join(' ') ? -1 : 1));
  const wanted = uncovered ? running.filter(({ id }) => !blockCover(here, names, id).covered) : running;
  return pageOf(wanted.slice(0, limit + 1), limit, ({ id }) => blockCover(here, names, id), keyOf);
}
