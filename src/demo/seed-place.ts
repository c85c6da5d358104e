import type { Test } from '../cover/types.ts';
import { lockAllCover } from '../enforcement/lock.ts';
import { addProgramme, addSkill } from '../features/curriculum/programmes.ts';
import { addApparatus } from '../features/gyms/add-apparatus.ts';
import { addArea } from '../features/gyms/add-area.ts';
import { addGym } from '../features/gyms/add-gym.ts';
import { NewApparatus } from '../features/gyms/schema.ts';
import { setDutyRule } from '../features/people/duty-rules.ts';
import { addKind } from '../features/people/kinds.ts';
import type { Duty } from '../features/people/schema.ts';
import type { Context } from '../platform/context.ts';
import { named } from './acting.ts';
import { SKILLS, type SkillName } from './data/drill.ts';
import { KIT, type KitName, MAT_STORE } from './data/kit.ts';
import {
  APPARATUS,
  type ApparatusName,
  AREAS,
  GYMS,
  type GymKey,
  KINDS,
  type KindKey,
  type LevelName,
  PROGRAMMES,
  type ProgrammeKey,
} from './data/place.ts';

/** Ids by the names that the data use. */
export interface Place {
  gym: (key: GymKey) => string;
  apparatus: (name: ApparatusName | KitName) => string;
  kind: (key: KindKey) => string;
  skill: (name: SkillName) => string;
  programme: (key: ProgrammeKey) => string;
  level: (name: LevelName) => string;
}

/** Blocks of this week and the next are confirmed by the service once they are covered. */
const WINDOW_DAYS = 14;

const keysOf = <K extends string>(record: Record<K, unknown>) => Object.keys(record) as K[];

/** The franchise's gyms with their halls, its programmes and skills, and its kinds of qualification. */
export async function seedPlace(ctx: Context): Promise<Place> {
  const apparatus = named(
    await each([...APPARATUS, ...keysOf(KIT)], async (name) => (await addApparatus(ctx, kindNamed(name))).id),
  );
  const gym = named(await each(keysOf(GYMS), (key) => addGymWithAreas(ctx, key, apparatus)));
  const kind = named(await each(keysOf(KINDS), async (key) => (await addKind(ctx, kindOf(key))).id));
  const skill = named(
    await each(
      keysOf(SKILLS),
      async (name) => (await addSkill(ctx, { name, apparatusId: apparatus(SKILLS[name]) })).id,
    ),
  );
  const programmes = await each(keysOf(PROGRAMMES), (key) => {
    const { name, levels } = PROGRAMMES[key];
    return addProgramme(ctx, { name, levels: levels.map((level) => ({ name: level })) });
  });
  await setDutyRules(ctx, kind);
  return {
    gym,
    apparatus,
    kind,
    skill,
    programme: named(programmes.map(([key, { id }]) => [key, id])),
    level: named(
      programmes.flatMap(([, { levels }]) => levels.map(({ name, id }) => [name as LevelName, id] as const)),
    ),
  };
}

/** One after another, in order: ids then grow in the order of the data. */
async function each<K, V>(keys: readonly K[], make: (key: K) => Promise<V>): Promise<(readonly [K, V])[]> {
  const made: (readonly [K, V])[] = [];
  for (const key of keys) made.push([key, await make(key)]);
  return made;
}

const SIZES = new Map<string, { lengthCm: number; widthCm: number; heightCm: number }>(Object.entries(KIT));
/** With its size where it is known. */
const kindNamed = (name: string): NewApparatus => {
  const size = SIZES.get(name);
  return NewApparatus.parse(
    size
      ? { name, lengthCm: size.lengthCm, widthCm: size.widthCm, heightCm: size.heightCm }
      : { name, armHeavy: name === 'Bars' },
  );
};

async function addGymWithAreas(ctx: Context, key: GymKey, apparatus: Place['apparatus']): Promise<string> {
  const { id } = await addGym(ctx, { ...GYMS[key], door: 'admit', confirmWindowDays: WINDOW_DAYS });
  for (const area of AREAS) {
    const standing = [{ apparatusId: apparatus(area.apparatus), items: area.items }];
    await addArea(ctx, id, { name: area.name, apparatus: standing });
  }
  const kit = keysOf(KIT).map((name) => ({ apparatusId: apparatus(name), items: KIT[name].items }));
  await addArea(ctx, id, { name: MAT_STORE, apparatus: kit });
  return id;
}

const kindOf = (key: KindKey) => {
  const { name, countsFor, grades } = KINDS[key];
  return { name, countsFor: [...countsFor], grades: [...grades] };
};

/** Who may do a duty at all: to lead, a coach's certificate and a clear check; to assist, a certificate; to oversee, a senior coach. */
async function setDutyRules(ctx: Context, kind: Place['kind']): Promise<void> {
  const aged = (atLeastYears: number): Test => ({ test: 'age', atLeastYears });
  const holds = (key: KindKey, grade: number): Test => ({ test: 'holds', kind: kind(key), grade });
  const all = (...of: Test[]): Test => ({ test: 'all', of });
  const rules: [Duty, Test][] = [
    ['lead', all(aged(18), holds('coaching', 2), holds('check', 1))],
    ['assist', all(aged(16), holds('coaching', 1))],
    ['oversee', all(aged(18), holds('coaching', 3), holds('check', 1))],
  ];
  const lock = await lockAllCover(ctx);
  for (const [duty, who] of rules) await setDutyRule(ctx, lock, duty, 1, who);
}
