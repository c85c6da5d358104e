import type { SentContent } from '../../src/features/curriculum/plan-content-schema.ts';
import type { WholePlanVersion } from '../../src/features/curriculum/plan-schema.ts';
import type { Drill } from '../../src/features/curriculum/schema.ts';
import { newId } from '../../src/platform/ids.ts';
import * as t from '../../src/tables/index.ts';
import { aBlock, aStep, content, writing } from './a-draft.ts';
import { aFranchise, type Franchise } from './a-franchise.ts';
import type { Programme, PublishedPlan } from './a-plan.ts';
import { aRule, oneTo } from './a-rule.ts';
import { aClass, anAssignment, aSession, type TestSession } from './a-session.ts';
import type { Api, Caller } from './api.ts';
import { aSkill } from './drills.ts';
import { anAthlete, aQualificationKind, aStaffMember, type QualificationKind } from './people.ts';

/** A lesson on bars, published over HTTP, laid out for a group of four with the gym's coach. */
export interface Lesson {
  f: Franchise;
  /** `/gyms/…` */
  gym: string;
  lead: Caller;
  manager: Caller;
  coach: Caller;
  coachId: string;
  kind: QualificationKind;
  /** Each leads to the next: nobody spots the first; stand by; hands on, signed off. */
  drills: { hang: Drill; tuck: Drill; cast: Drill };
  skills: { hang: string; cast: string };
  plan: PublishedPlan;
  version: WholePlanVersion;
  session: TestSession;
  block: TestSession['blocks'][number];
  stationId: string;
  children: string[];
}

export interface LessonOptions {
  confirmed?: true;
  /** The coach’s grade at spotting; 0 is none. */
  grade?: number;
  says?: (drills: Lesson['drills'], f: Franchise) => Partial<SentContent['blocks'][number]['stations'][number]>;
}

export async function aLesson(api: Api, options: LessonOptions = {}): Promise<Lesson> {
  const f = await aFranchise(api, { gyms: 2 });
  await aRule(f, { body: oneTo(8) });
  const lead = api.as(f.lead);
  const write = writing(f, lead);
  const kind = await aQualificationKind(f, { name: 'Hand spotting' });
  const { id: programmeId, levels } = await write.aProgramme();
  const levelIds = levels.map(({ id }) => id);
  const [bronze, silver] = levelIds as [string, string];
  const programme: Programme = { id: programmeId, levels: [bronze, silver, silver] };
  const skills = { hang: await aSkill(lead, f), cast: await aSkill(lead, f) };
  const onBars = { apparatusId: f.apparatus.bars };
  const hang = await write.aDrill({
    ...onBars,
    name: 'Long hang',
    skills: [{ skillId: skills.hang, signOff: null }],
    lookFors: [
      { phase: 'hang', right: 'ears covered', wrong: 'hips forward', say: 'Toes in sight' },
      { phase: 'grip', right: 'thumbs round', wrong: 'thumbs on top', say: 'Thumbs under' },
    ],
  });
  const tuck = await write.aDrill({
    ...onBars,
    name: 'Tuck hang',
    ifItGoesWrong: 'Hang, then drop to two feet.',
    spotting: { mode: 'stand-by', kindId: kind.id, grade: 1 },
    lookFors: [{ phase: 'tuck', right: 'knees to chest', wrong: 'swinging', say: 'Squeeze' }],
  });
  const cast = await write.aDrill({
    ...onBars,
    name: 'Cast to horizontal',
    spotting: { mode: 'hands-on', kindId: kind.id, grade: 2 },
    skills: [{ skillId: skills.cast, signOff: 'alone' }],
    levels: [{ programmeId, fromLevelId: bronze, toLevelId: bronze }],
  });
  for (const [easier, harder] of [[hang, tuck] as const, [tuck, cast] as const]) {
    await lead.post('/progressions', { easierId: easier.id, harderId: harder.id });
  }
  const drills = { hang, tuck, cast };
  const station = write.aStation([], {
    name: 'Low bar',
    apparatusId: f.apparatus.bars,
    setUp: {
      words: 'Bar at chin height',
      pieces: [
        {
          apparatusId: f.apparatus.floor,
          amount: 1,
          job: 'landing',
          forMixedSizes: false,
          orInstead: [{ apparatusId: f.apparatus.vault, amount: 2 }],
        },
      ],
      staysUp: true,
      diagram: null,
    },
    steps: [aStep([tuck.id]), aStep([hang.id], { weight: 'if-time', fromLevelId: bronze })],
    ...options.says?.(drills, f),
  });
  const draft = await write.aDraft(programmeId);
  const written = await write.write(draft.id, draft.draft.revision, {
    focus: [
      {
        apparatusId: f.apparatus.bars,
        skills: [{ skillId: skills.cast, standing: 'new' }],
        nextWeek: 'Next week from a standing start.',
      },
    ],
    blocks: content(aBlock([station], { title: 'Bars', minutes: 20 })).blocks,
  });
  const version = await write.publish(draft.id, written.revision, { note: 'Chalk is in the red box.' });
  const plan: PublishedPlan = {
    id: draft.id,
    versionId: version.id,
    programme,
    blocks: version.blocks.map(({ id, minutes, stations }) => ({
      id,
      minutes,
      areasOn: 'bars',
      stations: stations.map((one) => ({ id: one.id, drillId: one.steps[0]?.drillIds[0] ?? '' })),
    })),
  };
  const of = await aClass(f, { programme, levels: [bronze] });
  const children: string[] = [];
  for (const given of ['Aoife', 'Brian', 'Clodagh', 'Dara']) children.push(await anAthlete(f, { given }));
  const session = await aSession(f, {
    plan,
    class: of,
    groups: [children],
    ...(options.confirmed ? { confirmed: true } : {}),
  });
  const { personId: coachId, ...coach } = f.coachOf(f.gym);
  const grade = options.grade ?? 1;
  if (grade > 0) {
    await f.arrange((tx) =>
      tx.insert(t.qualifications).values({
        franchiseId: f.id,
        id: newId(),
        personId: coachId,
        kindId: kind.id,
        grade,
        from: '2020-01-01',
        evidence: 'seen',
      }),
    );
  }
  const [block] = session.blocks;
  const stationId = plan.blocks[0]?.stations[0]?.id;
  if (!block || !stationId) throw new Error('a lesson has a block and a station');
  await anAssignment(f, block, coachId);
  return {
    f,
    gym: `/gyms/${f.gym.id}`,
    lead,
    manager: api.as(f.managerOf(f.gym)),
    coach: api.as({ ...coach }),
    coachId,
    kind,
    drills,
    skills,
    plan,
    version,
    session,
    block,
    stationId,
    children,
  };
}

/** Somebody else of the gym's staff, who may spot at that grade. */
export const aSpotter = ({ f, kind }: Lesson, grade: number, given = 'Orla'): Promise<string> =>
  aStaffMember(f, { given, holds: [{ kind, grade }] });
