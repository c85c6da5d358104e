import type { LeadsFrom } from './drill-rows.ts';
import type { DrillContent } from './drills-repo.ts';
import { onCircles, shortestWay } from './progression-graph.ts';
import { circleSaid, isHigher } from './progressions.ts';
import type { Drill, Progression } from './schema.ts';

// Which rows of a file can go in together: values in, values out.

/** A drill of the library. */
export interface Known {
  id: string;
  apparatusId: string;
  name: string;
  height: Drill['height'];
  retired: boolean;
  revision: number;
}

/** A row whose names all mean something, with the id that its drill has or is to have. */
export interface Candidate {
  id: string;
  row: number;
  content: DrillContent;
  /** Null: it says nothing of what leads to it, which stays as it is. */
  leadsFrom: LeadsFrom[] | null;
  /** The drill that it takes the place of. */
  replaces: (Known & { drill: Drill }) | null;
}

interface Refusal {
  row: number;
  pointer: string;
  detail: string;
}

export interface Sorted {
  accepted: Candidate[];
  /** Every step that the accepted rows say leads to them. */
  steps: Progression[];
  refused: Refusal[];
}

interface End {
  id: string;
  name: string;
  height: Drill['height'];
}

type Library = { drills: readonly Known[]; steps: readonly Progression[] };
type KeyOf = (apparatusId: string, name: string) => string;
type Said = Progression & { pointer: string };

/**
 * Takes out each row that leads from a drill that is neither in the library nor among the rows left, that does not lead
 * upwards on its ladder, or whose steps would close a circle: the later row of two. What is left can stand together,
 * and with the library: a drill whose row is taken out keeps the steps that it had.
 * `keyOf` gives what makes two drills the same one: apparatus and name.
 */
export function sortRows(candidates: readonly Candidate[], library: Library, keyOf: KeyOf): Sorted {
  const refused: Refusal[] = [];
  let left = candidates;
  for (;;) {
    const linked = linkedUp(left, library, keyOf);
    // Steps are drawn between rows that all mean something before a circle is looked for.
    const faults = linked.refused.length > 0 ? linked.refused : circlesIn(left, linked.steps, library);
    if (faults.length === 0) {
      const steps = linked.steps.map(({ easierId, harderId, kind }) => ({ easierId, harderId, kind }));
      return { accepted: [...left], steps, refused };
    }
    refused.push(...faults);
    const out = new Set(faults.map(({ row }) => row));
    left = left.filter(({ row }) => !out.has(row));
  }
}

const rewrittenBy = (candidates: readonly Candidate[]) =>
  new Set(candidates.flatMap(({ id, leadsFrom }) => (leadsFrom === null ? [] : [id])));

function linkedUp(candidates: readonly Candidate[], library: Library, keyOf: KeyOf) {
  const ends = new Map<string, End>();
  for (const { retired, ...drill } of library.drills)
    if (!retired) ends.set(keyOf(drill.apparatusId, drill.name), drill);
  for (const { id, content } of candidates) ends.set(keyOf(content.apparatusId, content.name), { ...content, id });
  const steps: Said[] = [];
  const refused: Refusal[] = rungsOutOfOrder(candidates, library);
  for (const { id, row, content, leadsFrom } of candidates) {
    const before = new Set<string>();
    for (const from of leadsFrom ?? []) {
      const easier = ends.get(keyOf(from.apparatusId, from.drill));
      const detail = faultOf(from, easier, content, before);
      if (detail) refused.push({ row, pointer: from.pointer, detail });
      if (!easier) continue;
      before.add(easier.id);
      steps.push({ easierId: easier.id, harderId: id, kind: from.kind, pointer: from.pointer });
    }
  }
  return { steps, refused };
}

/** The rows whose new height does not go with a step of the library that stays. */
function rungsOutOfOrder(candidates: readonly Candidate[], { drills, steps }: Library): Refusal[] {
  const rewritten = rewrittenBy(candidates);
  const rowOf = new Map(candidates.map(({ id, row }) => [id, row]));
  const ends = new Map<string, End>(drills.map((drill) => [drill.id, drill]));
  for (const { id, content } of candidates) ends.set(id, { ...content, id });
  return steps.flatMap(({ kind, easierId, harderId }) => {
    const [easier, harder] = [ends.get(easierId), ends.get(harderId)];
    if (kind !== 'height' || rewritten.has(harderId) || !easier || !harder) return [];
    if (isHigher(easier.height, harder.height)) return [];
    const refusal = (row: number | undefined, other: End, where: string): Refusal[] =>
      row === undefined
        ? []
        : [
            {
              row,
              pointer: '/height',
              detail: `"${other.name}" stands ${where} it on a height ladder: take that step away first.`,
            },
          ];
    return [...refusal(rowOf.get(easierId), harder, 'above'), ...refusal(rowOf.get(harderId), easier, 'below')];
  });
}

function circlesIn(candidates: readonly Candidate[], wanted: readonly Said[], library: Library): Refusal[] {
  const rewritten = rewrittenBy(candidates);
  const kept = library.steps.filter(({ harderId }) => !rewritten.has(harderId));
  const circling: Progression[] = onCircles([...kept, ...wanted]);
  if (circling.length === 0) return [];
  const nameOf = new Map(library.drills.map(({ id, name }) => [id, name]));
  for (const { id, content } of candidates) nameOf.set(id, content.name);
  const among = new Set(circling);
  const saidOf = grouped(wanted.filter((step) => among.has(step)));
  const steps: Progression[] = kept.filter((step) => among.has(step));
  const refused: Refusal[] = [];
  for (const { id, row } of candidates) {
    const own = saidOf.get(id) ?? [];
    const circle = circleThrough(steps, id, own);
    if (circle === null) steps.push(...own);
    else {
      const detail = circleFault(circle.round.map((one) => nameOf.get(one) ?? ''));
      refused.push({ row, pointer: circle.step.pointer, detail });
    }
  }
  return refused;
}

/** One of the steps to a drill that closes a circle with the steps before it, and the shortest such circle. */
function circleThrough(
  steps: readonly Progression[],
  id: string,
  own: readonly Said[],
): { step: Said; round: string[] } | null {
  const round = shortestWay(steps, [id], new Set(own.map(({ easierId }) => easierId)));
  const step = own.find(({ easierId }) => easierId === round?.at(-1));
  return round && step ? { step, round } : null;
}

function grouped(steps: readonly Said[]): Map<string, Said[]> {
  const to = new Map<string, Said[]>();
  for (const step of steps) {
    const known = to.get(step.harderId);
    if (known) known.push(step);
    else to.set(step.harderId, [step]);
  }
  return to;
}

function faultOf(
  { drill, kind }: LeadsFrom,
  easier: End | undefined,
  harder: { name: string; height: Drill['height'] },
  before: ReadonlySet<string>,
): string | null {
  if (!easier) {
    return `There is no drill called "${drill}" on that apparatus, in use or among the rows that can go in: add it, or mend its row.`;
  }
  if (before.has(easier.id)) return `"${drill}" is named twice: once will do.`;
  if (kind === 'height' && !isHigher(easier.height, harder.height)) {
    return `"${harder.name}" is not on a higher rung than "${easier.name}": give both their heights.`;
  }
  return null;
}

function circleFault(names: readonly string[]): string {
  const said = circleSaid(names);
  return `${said.length > 800 ? `${said.slice(0, 800)} …` : said} Take one of these steps away.`;
}
