import type { PlanBlock } from '../plan-content-schema.ts';
import type { Drill } from '../schema.ts';
import { topAboveMat } from './apparatus-height.ts';
import { by, type CheckedClass, exact, type Finding, stationsIn, type Where, whose } from './finding.ts';
import { expectedStature, LANDMARKS } from './stature.ts';

type Fit = NonNullable<Drill['equipment'][number]['fit']>;

export interface SizedPlan {
  blocks: readonly PlanBlock[];
  drills: ReadonlyMap<string, Drill>;
  classes: readonly CheckedClass[];
  apparatus: ReadonlyMap<string, { name: string; heightCm: number | null }>;
}

/** A piece at a station whose height has to match those who use it. */
interface Fitted {
  where: Where;
  name: string;
  /** As it stands, from the floor. */
  cm: number;
  fit: Fit;
  /** All of the raise that the set-up has, laid on one another; 0 where it has none, or nobody has measured it. */
  raiseCm: number;
}

/** Younger than this, a child's shoulder is lower than the adult share of its stature says. */
const SMALL_MONTHS = 84;

/** Lowest and highest of a class, and whether both were measured. */
interface Body {
  low: number;
  high: number;
  recorded: boolean;
}

/**
 * The landmark of a class: of those who were measured as they are, and of the others by published statures, from the
 * lower fifth percentile of the youngest to the upper of the oldest. Null where nothing is known of anybody.
 */
function landmarkOf({ months, measured }: CheckedClass, measure: Fit['measure']): Body | null {
  const left = [...months];
  for (const one of measured) {
    const at = one.months === null ? -1 : left.indexOf(one.months);
    if (at !== -1) left.splice(at, 1);
  }
  const [youngest] = left;
  const oldest = left.at(-1);
  const known = measured.map(({ cm }) => cm);
  const lows = [...known, ...(youngest === undefined ? [] : [expectedStature(youngest).p5])];
  const highs = [...known, ...(oldest === undefined ? [] : [expectedStature(oldest).p95])];
  if (lows.length === 0) return null;
  const share = measure === 'stature' ? 1 : LANDMARKS[measure];
  return { low: share * Math.min(...lows), high: share * Math.max(...highs), recorded: left.length === 0 };
}

/**
 * Does each piece that has to match a body match the smallest and the tallest of each class, by the heights that were recorded lately and else by published ones? What
 * is too low or too high for some of them is well where the set-up has the raise that bridges it. Pieces and raises that
 * nobody has measured are left out: `unmeasured` names them.
 */
export function checkSizeFit(plan: SizedPlan): Finding[] {
  return fittedIn(plan).flatMap((piece) => {
    const odd = plan.classes.flatMap((one) => {
      const body = landmarkOf(one, piece.fit.measure);
      return body && !fits(piece, body) ? [{ one, body }] : [];
    });
    return by(odd, ({ body }) => `${body.recorded} ${Math.round(body.low)} ${Math.round(body.high)}`).flatMap(
      (alike) => {
        const [first] = alike;
        return first
          ? [
              findingOf(
                piece,
                first.body,
                alike.map(({ one }) => one),
              ),
            ]
          : [];
      },
    );
  });
}

/** Lowest and highest that the piece may be, so that nobody is left out. */
function bounds({ fit }: Fitted, body: Body) {
  return { least: body.high - fit.lowerByCm, most: body.low + fit.higherByCm };
}

function fits(piece: Fitted, body: Body): boolean {
  const { least, most } = bounds(piece, body);
  const { cm, raiseCm, fit } = piece;
  const underPiece = fit.raise?.under === 'piece' ? raiseCm : 0;
  const underChild = fit.raise?.under === 'child' ? raiseCm : 0;
  const lowest = topAboveMat({ cm, from: 'floor', to: 'top' }, { matCm: underChild, railCm: 0 });
  return cm + underPiece >= least && lowest <= most;
}

function fittedIn({ blocks, drills, apparatus }: SizedPlan): Fitted[] {
  return stationsIn(blocks).flatMap(({ station, where }) =>
    station.steps.flatMap(({ drillIds }, k) =>
      drillIds
        .flatMap((id) => drills.get(id) ?? [])
        .flatMap((drill) =>
          drill.equipment.flatMap(({ apparatusId, fit }) => {
            const piece = apparatus.get(apparatusId);
            if (!piece || fit === null || piece.heightCm === null) return [];
            const raise = station.setUp.pieces.find(
              ({ job, apparatusId: id }) => job === 'raise' && id === fit.raise?.apparatusId,
            );
            return [
              {
                where: { pointer: `${where.pointer}/steps/${k}`, names: [...where.names, drill.name] },
                name: piece.name,
                cm: piece.heightCm,
                fit,
                raiseCm: raise ? raise.amount * (apparatus.get(raise.apparatusId)?.heightCm ?? 0) : 0,
              },
            ];
          }),
        ),
    ),
  );
}

/** The names of pieces whose size matters and that nobody has measured. */
export function unmeasured({ blocks, drills, apparatus }: SizedPlan): string[] {
  const names = stationsIn(blocks).flatMap(({ station }) =>
    station.steps
      .flatMap(({ drillIds }) => drillIds.flatMap((id) => drills.get(id)?.equipment ?? []))
      .flatMap(({ apparatusId, fit }) => {
        const piece = apparatus.get(apparatusId);
        return piece && fit !== null && piece.heightCm === null ? [piece.name] : [];
      }),
  );
  return [...new Set(names)];
}

const STATURES =
  'Recorded heights where there are any; else the CDC growth charts, 2000, 5th to 95th percentile of either sex.';
const SHARES = 'Shares of stature: Drillis and Contini 1966, of adults.';

function findingOf(piece: Fitted, body: Body, classes: CheckedClass[]): Finding {
  const { where, name, cm, fit } = piece;
  const { least, most } = bounds(piece, body);
  const isSmall = fit.measure !== 'stature' && classes.some(({ months }) => (months[0] ?? SMALL_MONTHS) < SMALL_MONTHS);
  const caution = isSmall
    ? ' The share is an adult’s, which overstates small children: theirs is lower than this says.'
    : '';
  const [low, high] = [Math.round(body.low), Math.round(body.high)];
  return {
    check: 'size-fit',
    about: 'size',
    severity: 'warn',
    where: [where],
    number: exact(cm),
    limit: { atLeast: exact(Math.max(0, Math.round(least))), atMost: exact(Math.max(0, Math.round(most))) },
    unit: 'cm',
    limitFrom: body.recorded ? 'recorded' : 'published',
    source: body.recorded ? `Heights recorded within half a year. ${SHARES}` : `${STATURES} ${SHARES}`,
    classes,
    sentence: `“${name}” is ${cm} cm high; ${WORDS[fit.measure]} is at about ${low} to ${high} cm in ${whose(classes)}: at least ${Math.round(least)} for the tallest and at most ${Math.round(most)} for the smallest, and no raise of the set-up bridges it.${caution}`,
  };
}

const WORDS = { stature: 'the top of the head', chin: 'the chin', shoulder: 'the shoulder', hip: 'the hip' } as const;
