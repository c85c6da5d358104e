import {
  type Change,
  type Finding,
  type Floor,
  firstSteps,
  formatFraction,
  type Names,
  nearestSentence,
  remedies,
  testPhrase,
  textsIn,
} from '../cover/index.ts';
import type { Test } from '../cover/types.ts';
import type { Context } from '../platform/context.ts';
import { drillNames, withEasier } from './easier.ts';
import type { GymFloor } from './load-floor.ts';
import { requestFor } from './remedy-request.ts';
import type { NearestOnWire, RemedyOnWire } from './wire.ts';

/** Remedies are tried one by one against the whole floor: for the first few findings only. */
const MOST_MENDED = 4;
const MOST_REMEDIES = 12;

/** What would clear findings, and for those that nothing would, what is missing. */
export interface Mended {
  remedies: RemedyOnWire[];
  nearest: NearestOnWire[];
}

/** A change, and what is left of the finding after it; null: nothing. */
type Step = { change: Change; still: Finding | null };

/**
 * The changes that would clear these findings, each once, best first; where nobody alone can, also who would come
 * nearest, and what is then left. Each was applied to the floor and judged. `notOffered` are people to leave out.
 */
export async function mend(
  ctx: Context,
  at: GymFloor,
  findings: readonly Finding[],
  names: Names,
  notOffered: ReadonlySet<string>,
): Promise<Mended> {
  const wanted = findings.slice(0, MOST_MENDED);
  const blocks = wanted.filter(({ code, unit }) => unit.per === 'block' && (code === 'spotting' || code === 'short'));
  const here = await withEasier(ctx, at, new Set(blocks.map(({ unit }) => unit.id)));
  const isOffered = ({ change }: Step) => !('move' in change && notOffered.has(change.move));

  const found: Step[] = [];
  const nearest: NearestOnWire[] = [];
  for (const finding of wanted) {
    const clearing = remedies(here.floor, finding)
      .map((change): Step => ({ change, still: null }))
      .filter(isOffered);
    const steps = clearing.some(({ change }) => 'move' in change)
      ? []
      : firstSteps(here.floor, finding).filter(isOffered);
    found.push(...clearing, ...steps);
    if (!clearing.some(({ change }) => !('admitAtMost' in change))) {
      nearest.push(nearestOnWire(here.floor, finding, steps, names));
    }
  }

  const distinct = [...new Map(found.map((step) => [JSON.stringify(step.change), step])).values()].slice(
    0,
    MOST_REMEDIES,
  );
  const drills = await drillNames(
    ctx,
    distinct.flatMap(({ change }) => ('stepTo' in change ? [change.stepTo] : [])),
  );
  const texts = textsIn(names.language);
  const drill = (id: string) => drills.get(id) ?? texts.unnamed.drill;
  return {
    remedies: distinct.map(({ change, still }) => {
      const { sentence: what, ...remedy } = requestFor(change, here, names, drill);
      const left = still === null ? '' : ` ${texts.remedies.stillShort(still)}`;
      return { sentence: what + left, clears: still === null, ...remedy };
    }),
    nearest,
  };
}

function nearestOnWire(floor: Floor, finding: Finding, steps: readonly Step[], names: Names): NearestOnWire {
  const { code, unit, span, short } = finding;
  const qualification = qualificationAsked(floor, finding);
  const kind = qualification === null ? null : names.kind(qualification.kindId, qualification.grade);
  const held = kind === null ? null : textsIn(names.language).holding({ kind });
  const asked = finding.failed === null ? held : testPhrase(finding.failed, names);
  const people = steps.flatMap(({ change, still }) =>
    'move' in change && still !== null ? [{ person: change.move, short: still.short }] : [],
  );
  return {
    code,
    sentence: nearestSentence(finding, { asked, nearest: people.slice(0, 3) }, names),
    unit,
    blockIds: blocksOf(floor, finding).slice(0, 300),
    startsAt: new Date(span.from).toISOString(),
    endsAt: new Date(span.to).toISOString(),
    short: formatFraction(short),
    asks: asked,
    qualification,
    people: people.slice(0, 10).map(({ person, short: still }) => ({
      personId: person,
      name: names.person(person),
      short: formatFraction(still),
    })),
  };
}

/** The blocks that a finding uncovers: its own, or those in view of its session or the premises. */
function blocksOf(floor: Floor, { unit, span }: Finding): string[] {
  if (unit.per === 'block') return [unit.id];
  return floor.blocks
    .filter(({ confirmed, session }) => confirmed && (unit.per === 'premises' || session === unit.id))
    .filter((block) => block.span.from < span.to && span.from < block.span.to)
    .map(({ id }) => id);
}

/** The qualification that a finding is about: what a post or a supervisor has to hold, or a spotter of its stations. */
function qualificationAsked(floor: Floor, { failed, code, subjects }: Finding): NearestOnWire['qualification'] {
  const held = failed === null ? null : holdsIn(failed);
  if (held !== null || code !== 'spotting') return held;
  const stations = floor.blocks.flatMap((block) => block.stations);
  const spotted = stations.find(({ id }) => subjects.some((one) => one.what === 'station' && one.id === id))?.spotting;
  return spotted === undefined || spotted.mode === 'none' ? null : { kindId: spotted.kind, grade: spotted.grade };
}

function holdsIn(test: Test): NearestOnWire['qualification'] {
  if (test.test === 'holds') return { kindId: test.kind, grade: test.grade };
  if (test.test !== 'all' && test.test !== 'any') return null;
  for (const part of test.of) {
    const held = holdsIn(part);
    if (held !== null) return held;
  }
  return null;
}
