import { and, asc, eq, gt, inArray, sql } from 'drizzle-orm';
import type { Test } from '../../cover/types.ts';
import type { CoverLock } from '../../enforcement/lock.ts';
import type { Context } from '../../platform/context.ts';
import { violates } from '../../platform/db/constraint.ts';
import { ours } from '../../platform/db/tenant.ts';
import { type Paging, pageOf, readIdCursor } from '../../platform/http/paging.ts';
import { newId } from '../../platform/ids.ts';
import { type Fault, found, invalid, refuse } from '../../platform/problem.ts';
import { qualificationKinds } from '../../tables/people.ts';
import type { NewQualificationKind, QualificationKind, QualificationKindChanges } from './schema.ts';

const columns = {
  id: qualificationKinds.id,
  name: qualificationKinds.name,
  countsFor: qualificationKinds.countsFor,
  grades: qualificationKinds.grades,
  until: qualificationKinds.until,
  revision: qualificationKinds.revision,
};

const nameTaken = (error: unknown, name: string | undefined) =>
  violates(error, 'unique')
    ? refuse('already-exists', `There is a kind of qualification called "${name}" already.`)
    : error;

/** Adds a kind of qualification; nobody holds it and no rule names it yet. */
export async function addKind(ctx: Context, asked: NewQualificationKind): Promise<QualificationKind> {
  const kind = { ...asked, until: asked.until ?? null };
  const id = newId();
  try {
    await ctx.tx.insert(qualificationKinds).values({ franchiseId: ctx.franchiseId, id, ...kind, createdAt: ctx.now });
  } catch (error) {
    throw nameTaken(error, kind.name);
  }
  await ctx.record('people.qualification-kind-added', { subjectId: id, revision: 1 }, { kindId: id });
  return { id, ...kind, revision: 1 };
}

/** The franchise's kinds of qualification, in the order in which they were made. */
export async function listKinds(ctx: Context, { limit, cursor }: Paging) {
  const after = readIdCursor(cursor);
  const rows = await ctx.tx
    .select(columns)
    .from(qualificationKinds)
    .where(and(ours(ctx, qualificationKinds), after ? gt(qualificationKinds.id, after) : undefined))
    .orderBy(asc(qualificationKinds.id))
    .limit(limit + 1);
  return pageOf(
    rows,
    limit,
    (row): QualificationKind => row,
    (row) => [row.id],
  );
}

/** Changes a kind; one that ends counts for nothing from that day on. Its grades may be renamed and added to: those held and asked for are numbered from the lowest. */
export async function changeKind(
  ctx: Context,
  _lock: CoverLock,
  kindId: string,
  ifMatch: number,
  changes: QualificationKindChanges,
): Promise<QualificationKind> {
  const itself = and(ours(ctx, qualificationKinds), eq(qualificationKinds.id, kindId));
  const [before] = await ctx.tx.select(columns).from(qualificationKinds).where(itself);
  const { grades } = found(before, 'kind of qualification');
  if (changes.grades && changes.grades.length < grades.length) {
    throw invalid('/grades', `Expected at least the ${grades.length} that there are; rename them, or add higher ones.`);
  }
  try {
    const [row] = await ctx.tx
      .update(qualificationKinds)
      .set({ ...changes, revision: sql`${qualificationKinds.revision} + 1` })
      .where(and(itself, eq(qualificationKinds.revision, ifMatch)))
      .returning(columns);
    if (!row) throw refuse('changed-meanwhile', 'The kind of qualification has another revision by now.');
    const about = { subjectId: kindId, revision: row.revision };
    await ctx.record('people.qualification-kind-changed', about, { kindId });
    return row;
  } catch (error) {
    throw nameTaken(error, changes.name);
  }
}

/** A kind and a grade, and the JSON pointers of where a request names each. */
export interface KindNamed {
  kindId: string;
  grade: number;
  atKind: string;
  atGrade: string;
  /** Where the kind has to be good for something: for one of these. */
  goodFor?: QualificationKind['countsFor'] | undefined;
}

/**
 * What is wrong with the kinds and grades that a request names: no kind of the franchise's, one that is good for
 * something else, a grade that it lacks.
 */
export async function faultsInKinds(ctx: Context, named: readonly KindNamed[]): Promise<Fault[]> {
  if (named.length === 0) return [];
  const ids = [...new Set(named.map(({ kindId }) => kindId))];
  const rows = await ctx.tx
    .select(columns)
    .from(qualificationKinds)
    .where(and(ours(ctx, qualificationKinds), inArray(qualificationKinds.id, ids)));
  const kinds = new Map(rows.map((row) => [row.id, row]));
  return named.flatMap(({ kindId, grade, atKind, atGrade, goodFor }): Fault[] => {
    const kind = kinds.get(kindId);
    if (!kind) {
      const detail = 'This is no kind of qualification of the franchise; see `listQualificationKinds`.';
      return [{ pointer: atKind, detail }];
    }
    const faults: Fault[] = [];
    if (goodFor && !goodFor.some((use) => kind.countsFor.includes(use))) {
      const detail = `"${kind.name}" does not count for ${goodFor.join(' or ')}; name a kind that does.`;
      faults.push({ pointer: atKind, detail });
    }
    const most = kind.grades.length;
    if (grade > most) faults.push({ pointer: atGrade, detail: `"${kind.name}" has grades up to ${most}.` });
    return faults;
  });
}

/** Refuses with all of those faults. */
export async function refuseUnknownKinds(ctx: Context, named: readonly KindNamed[]): Promise<void> {
  const errors = await faultsInKinds(ctx, named);
  const [first] = errors;
  if (first) throw refuse('invalid-request', first.detail, { errors: errors.slice(0, 100) });
}

/** Every kind that a test names, at whatever depth; `at` is the JSON pointer of the test. */
export function kindsIn(test: Test, at: string): KindNamed[] {
  switch (test.test) {
    case 'holds':
      return [{ kindId: test.kind, grade: test.grade, atKind: `${at}/kind`, atGrade: `${at}/grade` }];
    case 'supervised':
      return kindsIn(test.by, `${at}/by`);
    case 'all':
    case 'any':
      return test.of.flatMap((part, index) => kindsIn(part, `${at}/of/${index}`));
    default:
      return [];
  }
}
