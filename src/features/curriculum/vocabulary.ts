import { asc } from 'drizzle-orm';
import type { Context } from '../../platform/context.ts';
import { ours } from '../../platform/db/tenant.ts';
import { levels, programmes } from '../../tables/curriculum.ts';
import { apparatus } from '../../tables/gyms.ts';
import { qualificationKinds, skills } from '../../tables/people.ts';

/** Everything that a drill in a file may name, by its name and by its id. */
export interface Vocabulary {
  apparatus: { id: string; name: string; secondsATurn: number }[];
  skills: { id: string; name: string; apparatusId: string }[];
  kinds: { id: string; name: string; grades: string[]; countsFor: string[] }[];
  programmes: { id: string; name: string }[];
  /** In the order of their programmes. */
  levels: { id: string; name: string; programmeId: string; position: number }[];
  /** What was said about names that nothing has. */
  unknown: Map<string, string>;
}

/** The franchise's own words: five statements, whatever it has. */
export async function vocabularyOf(ctx: Context): Promise<Vocabulary> {
  const { tx } = ctx;
  return {
    apparatus: await tx
      .select({ id: apparatus.id, name: apparatus.name, secondsATurn: apparatus.secondsATurn })
      .from(apparatus)
      .where(ours(ctx, apparatus)),
    skills: await tx
      .select({ id: skills.id, name: skills.name, apparatusId: skills.apparatusId })
      .from(skills)
      .where(ours(ctx, skills)),
    kinds: await tx
      .select({
        id: qualificationKinds.id,
        name: qualificationKinds.name,
        grades: qualificationKinds.grades,
        countsFor: qualificationKinds.countsFor,
      })
      .from(qualificationKinds)
      .where(ours(ctx, qualificationKinds)),
    programmes: await tx
      .select({ id: programmes.id, name: programmes.name })
      .from(programmes)
      .where(ours(ctx, programmes)),
    levels: await tx
      .select({ id: levels.id, name: levels.name, programmeId: levels.programmeId, position: levels.position })
      .from(levels)
      .where(ours(ctx, levels))
      .orderBy(asc(levels.programmeId), asc(levels.position)),
    unknown: new Map(),
  };
}

/** The one of that name; upper and lower case are the same where none has it exactly. */
export function named<T extends { name: string }>(things: readonly T[], name: string): T | undefined {
  const folded = name.toLowerCase();
  return things.find((one) => one.name === name) ?? things.find((one) => one.name.toLowerCase() === folded);
}

/** So many names are compared with all there are, which takes milliseconds each; who has more misspelt reads the first. */
const MOST_COMPARED = 50;

/** What to do about a name that nothing has: the nearest there is, where one is near. The same name is looked up once. */
export function unknownName(
  { unknown }: Pick<Vocabulary, 'unknown'>,
  what: string,
  name: string,
  things: readonly { name: string }[],
): string {
  const key = `${what}\n${name}`;
  const known = unknown.get(key);
  if (known !== undefined) return known;
  const near = unknown.size < MOST_COMPARED ? nearestTo(name, things) : undefined;
  const mend = near === undefined ? 'Add it first, or name another.' : `Did you mean "${near}"?`;
  const said = `There is no ${what} called "${name}". ${mend}`;
  if (unknown.size < MOST_COMPARED) unknown.set(key, said);
  return said;
}

function nearestTo(name: string, things: readonly { name: string }[]): string | undefined {
  const [nearest] = things
    .map((one) => ({ name: one.name, away: distance(one.name.toLowerCase(), name.toLowerCase()) }))
    .sort((a, b) => a.away - b.away);
  return nearest && nearest.away <= Math.max(1, Math.floor(name.length / 3)) ? nearest.name : undefined;
}

/** How many letters have to be put in, taken out or changed to make one of the other. */
function distance(a: string, b: string): number {
  let row = Array.from({ length: b.length + 1 }, (_, at) => at);
  for (const [i, letter] of [...a].entries()) {
    const next = [i + 1];
    for (let j = 0; j < b.length; j += 1) {
      const change = (row[j] ?? 0) + (b[j] === letter ? 0 : 1);
      next.push(Math.min(change, (row[j + 1] ?? 0) + 1, (next[j] ?? 0) + 1));
    }
    row = next;
  }
  return row[b.length] ?? 0;
}
