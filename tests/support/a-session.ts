import { Temporal } from 'temporal-polyfill';
import { newId } from '../../src/platform/ids.ts';
import * as t from '../../src/tables/index.ts';
import { type Franchise, PLANNED_AT, type TestGym } from './a-franchise.ts';
import { aProgramme, aPublishedPlan, type Programme, type PublishedPlan } from './a-plan.ts';
import { athletes } from './people.ts';

export interface ClassOptions {
  gym?: TestGym;
  programme?: Programme;
  /** 1 is Monday. */
  weekday?: number;
  startsAt?: string;
  durationMinutes?: number;
  capacity?: number;
  from?: string;
  /** Of its programme; all of them when left out. */
  levels?: string[];
}

export interface TestClass {
  id: string;
  gym: TestGym;
  programme: Programme;
  startsAt: string;
}

/** A class on Mondays at 17:00, of an hour, for any level of its programme. */
export async function aClass(f: Franchise, options: ClassOptions = {}): Promise<TestClass> {
  const id = newId();
  const gym = options.gym ?? f.gym;
  const programme = options.programme ?? (await aProgramme(f));
  const startsAt = options.startsAt ?? '17:00';
  await f.arrange(async (tx) => {
    await tx.insert(t.classes).values({
      franchiseId: f.id,
      id,
      gymId: gym.id,
      name: 'Monday tumblers',
      programmeId: programme.id,
      weekday: options.weekday ?? 1,
      startsAt,
      durationMinutes: options.durationMinutes ?? 60,
      capacity: options.capacity ?? 24,
      from: options.from ?? '2026-08-31',
    });
    await tx
      .insert(t.classLevels)
      .values((options.levels ?? programme.levels).map((levelId) => ({ franchiseId: f.id, classId: id, levelId })));
  });
  return { id, gym, programme, startsAt };
}

export interface SessionOptions {
  class?: TestClass;
  plan?: PublishedPlan;
  /** The local day: Monday 14 September 2026 when left out. */
  day?: string;
  /** Local wall time; the class's when left out. */
  startsAt?: string;
  /** How many children of eight are in each group, or who: enrolled and in the group. One group of none when left out. */
  groups?: (number | string[])[];
  confirmed?: true;
}

export interface TestSession {
  id: string;
  class: TestClass;
  plan: PublishedPlan;
  gym: TestGym;
  day: string;
  groups: { id: string; athletes: string[]; blocks: TestBlock[] }[];
  /** Of the first group, in the plan's order. */
  blocks: TestBlock[];
}

export interface TestBlock {
  id: string;
  startsAt: Date;
  endsAt: Date;
}

/**
 * One dated session, laid out: every group passes the plan's blocks one after another, each group one block further on
 * in the order than the group before it, on the area of the block's first apparatus.
 */
export async function aSession(f: Franchise, options: SessionOptions = {}): Promise<TestSession> {
  const plan = options.plan ?? (await aPublishedPlan(f, options.class ? { programme: options.class.programme } : {}));
  const of = options.class ?? (await aClass(f, { programme: plan.programme }));
  const day = options.day ?? '2026-09-14';
  const wall = options.startsAt ?? of.startsAt;
  const start = Temporal.PlainDateTime.from(`${day}T${wall}`).toZonedDateTime(of.gym.zone).epochMilliseconds;
  const minutes = plan.blocks.reduce((sum, block) => sum + block.minutes, 0);
  const startsAt = new Date(start);
  const endsAt = new Date(start + minutes * 60_000);
  const ours = { franchiseId: f.id };
  const sessionId = newId();

  const groups: TestSession['groups'] = [];
  for (const who of options.groups ?? [0]) {
    const ids = typeof who === 'number' ? (who === 0 ? [] : await athletes(f, who, { gym: of.gym })) : who;
    const order = plan.blocks.map((_, index) => plan.blocks[(index + groups.length) % plan.blocks.length]!);
    let from = start;
    const blocks = order.map((block) => {
      const span = { startsAt: new Date(from), endsAt: new Date(from + block.minutes * 60_000) };
      from = span.endsAt.getTime();
      return { id: newId(), planBlock: block, ...span };
    });
    groups.push({ id: newId(), athletes: ids, blocks });
    await f.arrange(async (tx) => {
      if (groups.length === 1) {
        await tx.insert(t.sessions).values({
          ...ours,
          id: sessionId,
          gymId: of.gym.id,
          classId: of.id,
          originalStart: `${day}T${wall}`,
          day,
          startsAt,
          endsAt,
          planVersionId: plan.versionId,
          createdAt: PLANNED_AT,
        });
      }
      const group = groups.at(-1)!;
      const position = groups.length;
      await tx.insert(t.groups).values({ ...ours, id: group.id, sessionId, position, name: `Group ${position}` });
      if (ids.length > 0) {
        await tx.insert(t.enrolments).values(
          ids.map((athleteId) => ({
            ...ours,
            id: newId(),
            gymId: of.gym.id,
            classId: of.id,
            athleteId,
            from: '2026-08-31',
          })),
        );
        const place = { ...ours, sessionId, groupId: group.id, startsAt, endsAt, createdAt: PLANNED_AT };
        await tx.insert(t.groupMembers).values(ids.map((athleteId) => ({ ...place, id: newId(), athleteId })));
      }
      if (blocks.length === 0) return;
      await tx.insert(t.blocks).values(
        blocks.map((block) => ({
          ...ours,
          id: block.id,
          gymId: of.gym.id,
          sessionId,
          groupId: group.id,
          planVersionId: plan.versionId,
          planBlockId: block.planBlock.id,
          day,
          startsAt: block.startsAt,
          endsAt: block.endsAt,
          createdAt: PLANNED_AT,
          confirmedAt: options.confirmed ? new Date('2026-09-01T09:00:00Z') : null,
        })),
      );
      await tx
        .insert(t.blockAreas)
        .values(blocks.map((block) => ({ ...ours, blockId: block.id, areaId: of.gym.areas[block.planBlock.areasOn] })));
    });
  }
  return { id: sessionId, class: of, plan, gym: of.gym, day, groups, blocks: groups[0]?.blocks ?? [] };
}

/** Puts somebody there, past every check; gives the assignment's id. */
export async function anAssignment(
  f: Franchise,
  block: TestBlock,
  personId: string,
  options: { gym?: TestGym; day?: string; duty?: 'lead' | 'assist' | 'shadow' } = {},
): Promise<string> {
  const id = newId();
  await f.arrange((tx) =>
    tx.insert(t.assignments).values({
      franchiseId: f.id,
      id,
      gymId: (options.gym ?? f.gym).id,
      personId,
      per: 'block',
      blockId: block.id,
      duty: options.duty ?? 'lead',
      day: options.day ?? '2026-09-14',
      startsAt: block.startsAt,
      endsAt: block.endsAt,
      createdAt: PLANNED_AT,
    }),
  );
  return id;
}
