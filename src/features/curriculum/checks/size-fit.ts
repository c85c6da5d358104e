import type { PlanBlock } from '../plan-content-schema.ts';
import type { Drill } from '../schema.ts';
import { topAboveMat } from './apparatus-height.ts';
import { by, type CheckedClass, exact, type Finding, stationsIn, type Where, whose } from './finding.ts';
import { expectedStature, LANDMARKS, Z95 } from './stature.ts';

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

/** Of a class with fewer who were measured than this, the heights that it has say too much about one child. */
const FEWEST_MEASURED = 5;

/** Recorded heights are told to so many centimetres, outwards. */
const STEP_CM = 5;

/** From the lowest to the highest that is likely in a class, and whose heights say so. */
interface Body {
  low: number;
  high: number;
  from: 'recorded' | 'published' | 'both';
}

/**
 * The landmark of a class, from the small to the tall. A finding is read by people who may not read a child's height, so
 * that no height stands in it: fewer than five who were measured count as if they were not, and of five or more it is the
 * spread, to five centimetres outwards. Whoever was not measured counts by age, from the lower fifth percentile of the
 * youngest to the upper of the oldest. Null where nothing is known of anybody.
 */
function landmarkOf({ months, measured }: CheckedClass, measure: Fit['measure']): Body | null {
  const counted = measured.length < FEWEST_MEASURED ? [] : measured;
  const left = [...months];
  for (const one of counted) {
    const at = one.months === null ? -1 : left.indexOf(one.months);
    if (at !== -1) left.splice(at, 1);
  }
  const [youngest] = left;
  const oldest = left.at(-1);
  const recorded = counted.length === 0 ? [] : [spreadOf(counted.map(({ cm }) => cm))];
  const published =
    youngest === undefined || oldest === undefined
      ? []
      : [{ low: expectedStature(youngest).p5, high: expectedStature(oldest).p95 }];
  const known = [...recorded, ...published];
  if (known.length === 0) return null;
  const share = measure === 'stature' ? 1 : LANDMARKS[measure];
  return {
    low: share * Math.min(...known.map(({ low }) => low)),
    high: share * Math.max(...known.map(({ high }) => high)),
    from: recorded.length === 0 ? 'published' : published.length === 0 ? 'recorded' : 'both',
  };
}

/** What nine in ten are between by mean and standard deviation, to whole steps outwards, and one step wide at the least. */
function spreadOf(heights: readonly number[]): { low: number; high: number } {
  const mean = heights.reduce((total, cm) => total + cm, 0) / heights.length;
  const variance = heights.reduce((total, cm) => total + (cm - mean) ** 2, 0) / (heights.length - 1);
  const reach = Z95 * Math.sqrt(variance);
  const low = Math.floor((mean - reach) / STEP_CM) * STEP_CM;
  return { low, high: Math.max(low + STEP_CM, Math.ceil((mean + reach) / STEP_CM) * STEP_CM) };
}

/**
 * Does each piece that has to match a body match the small and the tall of each class, by the spread of heights that were
 * recorded lately and else by published ones? What is too low or too high for some of them is well where the set-up has
 * the raise that bridges it. Pieces and raises that nobody has measured are left out: `unmeasured` names them.
 */
export function checkSizeFit(plan: SizedPlan): Finding[] {
  return fittedIn(plan).flatMap((piece) => {
    const odd = plan.classes.flatMap((one) => {
      const body = landmarkOf(one, piece.fit.measure);
      return body && !fits(piece, body) ? [{ one, body }] : [];
    });
    return by(odd, ({ body }) => `${body.from} ${Math.round(body.low)} ${Math.round(body.high)}`).flatMap((alike) => {
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
    });
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

const SOURCES = {
  recorded: `Heights recorded within half a year: mean with 1.645 standard deviations to either side, to ${STEP_CM} cm outwards.`,
  published: 'CDC growth charts, 2000, 5th to 95th percentile of either sex.',
};
const SHARES = 'Shares of stature: Drillis and Contini 1966, of adults.';

const sourceOf = (from: Body['from']): string =>
  [from === 'both' ? `${SOURCES.recorded} For the others: ${SOURCES.published}` : SOURCES[from], SHARES].join(' ');

/** How the heights are known, and of how many in these classes. */
function knownBy(from: Body['from'], classes: readonly CheckedClass[]): string {
  const measured = classes.reduce((total, one) => total + one.measured.length, 0);
  const athletes = classes.reduce((total, one) => total + Math.max(one.athletes, one.measured.length), 0);
  const many = `${measured} of ${athletes}`;
  return {
    published: `Published heights: fewer than ${FEWEST_MEASURED} of a class were measured (${many}).`,
    recorded: `By recorded heights, to ${STEP_CM} cm (${many} measured).`,
    both: `By recorded heights, to ${STEP_CM} cm, and published ones for the others (${many} measured).`,
  }[from];
}

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
    limitFrom: body.from === 'recorded' ? 'recorded' : 'published',
    source: sourceOf(body.from),
    classes,
    sentence: `“${name}” is ${cm} cm high; ${WORDS[fit.measure]} is at about ${low} to ${high} cm in ${whose(classes)}: at least ${Math.round(least)} for the tall and at most ${Math.round(most)} for the small, and no raise of the set-up bridges it. ${knownBy(body.from, classes)}${caution}`,
  };
}

const WORDS = { stature: 'the top of the head', chin: 'the chin', shoulder: 'the shoulder', hip: 'the hip' } as const;
