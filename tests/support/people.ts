import { newId } from '../../src/platform/ids.ts';
import * as t from '../../src/tables/index.ts';
import { type Franchise, PLANNED_AT, type TestGym } from './a-franchise.ts';

export interface QualificationKind {
  id: string;
}

export interface KindOptions {
  name?: string;
  countsFor?: (typeof t.COUNTS_FOR)[number][];
  /** Lowest first. */
  grades?: string[];
}

/** A kind of qualification, by default one for spotting, with three grades. */
export async function aQualificationKind(f: Franchise, options: KindOptions = {}): Promise<QualificationKind> {
  const id = newId();
  await f.arrange((tx) =>
    tx.insert(t.qualificationKinds).values({
      franchiseId: f.id,
      id,
      name: options.name ?? `Spotting ${id}`,
      countsFor: options.countsFor ?? ['spotting'],
      grades: options.grades ?? ['basic', 'full', 'advanced'],
    }),
  );
  return { id };
}

export interface StaffOptions {
  given?: string;
  family?: string;
  born?: string;
  /** Employed there since 2020, without an end; the franchise's first gym when left out; `[]` for nowhere. */
  gyms?: TestGym[];
  /** Each since 2020, without an end, unless said; grade 1 unless said. */
  holds?: { kind: QualificationKind; grade?: number; from?: string; until?: string }[];
}

/** Somebody on the staff, without an account; gives the person's id. */
export async function aStaffMember(f: Franchise, options: StaffOptions = {}): Promise<string> {
  const personId = newId();
  const ours = { franchiseId: f.id, personId };
  const gyms = options.gyms ?? [f.gym];
  const holds = options.holds ?? [];
  await f.arrange(async (tx) => {
    await tx.insert(t.persons).values({ franchiseId: f.id, id: personId });
    await tx
      .insert(t.personNames)
      .values({ ...ours, given: options.given ?? 'Niamh', family: options.family ?? 'Byrne' });
    await tx.insert(t.staffMembers).values({ ...ours, born: options.born ?? '1992-03-15' });
    if (gyms.length > 0) {
      await tx
        .insert(t.employments)
        .values(
          gyms.map((gym) => ({ ...ours, id: newId(), gymId: gym.id, from: '2020-01-01', createdAt: PLANNED_AT })),
        );
    }
    if (holds.length > 0) {
      await tx.insert(t.qualifications).values(
        holds.map(({ kind, grade, from, until }) => ({
          ...ours,
          id: newId(),
          kindId: kind.id,
          grade: grade ?? 1,
          from: from ?? '2020-01-01',
          until: until ?? null,
          evidence: 'certificate seen',
          createdAt: PLANNED_AT,
        })),
      );
    }
  });
  return personId;
}

export interface AthleteOptions {
  given?: string;
  family?: string;
  gym?: TestGym;
  /** `null` for unknown. */
  born?: string | null;
  traits?: string[];
}

/** One athlete, eight years old on 7 September 2026 unless said; gives the person's id. */
export async function anAthlete(f: Franchise, options: AthleteOptions = {}): Promise<string> {
  const [id] = await athletes(f, 1, options);
  return id!;
}

/** So many alike. */
export async function athletes(f: Franchise, count: number, options: AthleteOptions = {}): Promise<string[]> {
  const ids = Array.from({ length: count }, newId);
  const ours = { franchiseId: f.id };
  const traits = options.traits ?? [];
  await f.arrange(async (tx) => {
    await tx.insert(t.persons).values(ids.map((id) => ({ ...ours, id })));
    await tx.insert(t.personNames).values(
      ids.map((personId, index) => ({
        ...ours,
        personId,
        given: options.given ?? `Child ${index + 1}`,
        family: options.family ?? 'Walsh',
      })),
    );
    const born = options.born === undefined ? '2018-06-10' : options.born;
    await tx
      .insert(t.athletes)
      .values(ids.map((personId) => ({ ...ours, personId, gymId: (options.gym ?? f.gym).id, born })));
    if (traits.length > 0) {
      await tx
        .insert(t.athleteTraits)
        .values(
          ids.flatMap((athleteId) =>
            traits.map((trait) => ({ ...ours, id: newId(), athleteId, trait, from: '2020-01-01' })),
          ),
        );
    }
  });
  return ids;
}
