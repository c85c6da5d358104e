import { eq } from 'drizzle-orm';
import { afterAll, beforeAll, beforeEach, describe, expect, test } from 'vitest';
import type { WholeSession } from '../../src/features/schedule/schema.ts';
import type { Adaptation } from '../../src/features/teaching/adaptation-schema.ts';
import type { LessonSheet } from '../../src/features/teaching/sheet-schema.ts';
import { newId } from '../../src/platform/ids.ts';
import * as t from '../../src/tables/index.ts';
import { aLesson, type Lesson } from '../support/a-lesson.ts';
import { aClass, aSession } from '../support/a-session.ts';
import { type Api, type Caller, openApi } from '../support/api.ts';

let api: Api;
beforeAll(async () => {
  api = await openApi({ now: '2026-09-14T08:00:00Z' });
});
beforeEach(() => api.clock.set('2026-09-14T08:00:00Z'));
afterAll(() => api.close());

type Per = Adaptation['per'];
type Answer = Adaptation & { detail: string; type: string };
const unitOf = ({ f, session, block }: Lesson, per: Per) =>
  ({ gym: f.gym.id, class: session.class.id, session: session.id, block: block.id })[per];
const adapt = (lesson: Lesson, per: Per, change: Adaptation['change'], as: Caller = lesson.manager) =>
  as.post<Answer>(`${lesson.gym}/adaptations`, {
    per,
    unitId: unitOf(lesson, per),
    stationId: lesson.stationId,
    change,
    reason: `For the ${per}.`,
  });
const undo = ({ gym, manager }: Lesson, { id }: { id: string }) =>
  manager.post<Answer>(`${gym}/adaptations/${id}/undo`);
const drill = ({ id }: { id: string }): Adaptation['change'] => ({ kind: 'drill', drillId: id });
const withoutStep: Adaptation['change'] = { kind: 'drop-step', step: 2 };
const otherPiece = (choice: number): Adaptation['change'] => ({ kind: 'set-up', piece: 1, choice });
const twoChoices: Parameters<typeof aLesson>[1] = {
  says: (_, f) => ({
    setUp: {
      words: '',
      staysUp: false,
      diagram: null,
      pieces: [
        {
          apparatusId: f.apparatus.floor,
          amount: 1,
          job: 'landing',
          forMixedSizes: false,
          orInstead: [
            { apparatusId: f.apparatus.vault, amount: 2 },
            { apparatusId: f.apparatus.beam, amount: 3 },
          ],
        },
      ],
    },
  }),
};

/** What is done at the station, who stands by, how many steps there are, and why it is not as planned. */
const taughtIn = async ({ gym, manager }: Lesson, sessionId: string) => {
  const { body } = await manager.get<LessonSheet>(`${gym}/sessions/${sessionId}/sheet`);
  const [station] = body.parts.flatMap(({ stations }) => stations);
  return {
    drill: station?.steps[0]?.drills[0]?.name,
    spotting: station?.spotting.mode,
    steps: station?.steps.length,
    amount: station?.setUp.pieces[0]?.amount,
    why: station?.adapted.map(({ reason }) => reason),
  };
};

describe('one adaptation of a kind stands at a station for a unit', () => {
  test.each<[string, Adaptation['change'], Adaptation['change']]>([
    ['a step is left out once', withoutStep, withoutStep],
    ['a piece is replaced once', otherPiece(1), otherPiece(1)],
    ['with one other piece', otherPiece(1), otherPiece(2)],
  ])('%s; taken back, it may be again', async (_name, first, second) => {
    const lesson = await aLesson(api, twoChoices);
    const { body } = await adapt(lesson, 'class', first);
    const again = await adapt(lesson, 'class', second);
    expect([again.status, again.body.type]).toEqual([409, '/problems/already-exists']);
    expect((await adapt(lesson, 'gym', second)).status, 'of another unit').toBe(201);
    await undo(lesson, body);
    expect((await adapt(lesson, 'class', second)).status).toBe(201);
  });

  test('sent many times at once, it is written once', async () => {
    const lesson = await aLesson(api);
    const answers = await Promise.all(Array.from({ length: 8 }, () => adapt(lesson, 'session', withoutStep)));
    expect(answers.map(({ status }) => status).sort()).toEqual([201, ...Array(7).fill(409)]);
    expect((await lesson.manager.get(`${lesson.gym}/adaptations`)).body.items).toHaveLength(1);
  });

  test('another drill takes the place of the one before', async () => {
    const lesson = await aLesson(api);
    const first = (await adapt(lesson, 'class', drill(lesson.drills.hang))).body;
    const second = (await adapt(lesson, 'class', drill(lesson.drills.hang))).body;
    const { items } = (await lesson.manager.get<{ items: Adaptation[] }>(`${lesson.gym}/adaptations`)).body;
    expect(items.map(({ id, undoneAt, blockIds }) => [id, undoneAt, blockIds])).toEqual([
      [first.id, '2026-09-14T08:00:00.000Z', []],
      [second.id, null, [lesson.block.id]],
    ]);
    expect((await undo(lesson, first)).status).toBe(409);
  });
});

describe('the narrowest unit', () => {
  test('says which piece stands there, and why a step is left out', async () => {
    const lesson = await aLesson(api, twoChoices);
    await adapt(lesson, 'session', otherPiece(2));
    await adapt(lesson, 'gym', otherPiece(1));
    await adapt(lesson, 'session', withoutStep);
    await adapt(lesson, 'class', withoutStep);
    const { amount, steps, why } = await taughtIn(lesson, lesson.session.id);
    expect({ amount, steps, why }).toEqual({ amount: 3, steps: 1, why: ['For the session.', 'For the session.'] });
  });

  test('says which drill is done; once that is taken back, the wider one', async () => {
    const lesson = await aLesson(api, { grade: 2 });
    await lesson.f.arrange((tx) =>
      tx.insert(t.signOffs).values({
        franchiseId: lesson.f.id,
        id: newId(),
        personId: lesson.coachId,
        skillId: lesson.skills.cast,
        level: 'alone',
        from: '2026-01-01',
      }),
    );
    const narrow = (await adapt(lesson, 'session', drill(lesson.drills.hang))).body;
    const wide = (await adapt(lesson, 'class', drill(lesson.drills.cast))).body;
    expect(wide.blockIds).toEqual([]);
    expect((await taughtIn(lesson, lesson.session.id)).drill).toBe('Long hang');
    expect((await undo(lesson, narrow)).status).toBe(200);
    expect(await taughtIn(lesson, lesson.session.id)).toMatchObject({
      drill: 'Cast to horizontal',
      spotting: 'hands-on',
      why: ['For the class.'],
    });
    await undo(lesson, wide);
    expect(await taughtIn(lesson, lesson.session.id)).toMatchObject({ drill: 'Tuck hang', why: [] });
  });
});

describe('a block that has ended', () => {
  test('is not adapted', async () => {
    const lesson = await aLesson(api);
    api.clock.set('2026-09-14T18:00:00Z');
    for (const per of ['session', 'block'] as const) {
      const { status, body } = await adapt(lesson, per, withoutStep);
      expect([status, body.type]).toEqual([409, '/problems/conflict']);
    }
  });

  test('keeps on its sheet what stood when it was taught', async () => {
    const lesson = await aLesson(api);
    const stood = (await adapt(lesson, 'class', withoutStep)).body;
    const done = (await adapt(lesson, 'session', drill(lesson.drills.hang))).body;
    api.clock.set('2026-09-14T18:00:00Z');
    const then = await taughtIn(lesson, lesson.session.id);
    expect(then).toMatchObject({
      drill: 'Long hang',
      steps: 1,
      amount: 1,
      why: ['For the class.', 'For the session.'],
    });
    await adapt(lesson, 'gym', otherPiece(1));
    expect((await undo(lesson, stood)).status).toBe(200);
    expect((await undo(lesson, done)).status).toBe(409);
    expect(await taughtIn(lesson, lesson.session.id)).toEqual(then);
    const next = await aSession(lesson.f, { plan: lesson.plan, class: lesson.session.class, day: '2026-09-21' });
    expect(await taughtIn(lesson, next.id)).toMatchObject({
      drill: 'Tuck hang',
      steps: 2,
      amount: 2,
      why: ['For the gym.'],
    });
  });

  test('has no trace of what was taken back before it ended', async () => {
    const lesson = await aLesson(api);
    await undo(lesson, (await adapt(lesson, 'gym', withoutStep)).body);
    api.clock.set('2026-09-14T18:00:00Z');
    expect(await taughtIn(lesson, lesson.session.id)).toMatchObject({ steps: 2, why: [] });
  });
});

describe('a session laid out later', () => {
  const layOut = ({ gym, manager, plan }: Lesson, sessionId: string, ifMatch = 1) =>
    manager.post<WholeSession>(`${gym}/sessions/${sessionId}/lay-out`, { planVersionId: plan.versionId }, { ifMatch });
  const bare = async ({ f, session }: Lesson, day: string, { id: classId, startsAt } = session.class) => {
    const id = newId();
    const hour = Number(startsAt.slice(0, 2));
    await f.arrange((tx) =>
      tx.insert(t.sessions).values({
        franchiseId: f.id,
        id,
        gymId: f.gym.id,
        classId,
        originalStart: `${day}T${startsAt}`,
        day,
        startsAt: new Date(`${day}T${hour - 1}:00:00Z`),
        endsAt: new Date(`${day}T${hour}:00:00Z`),
      }),
    );
    return { id };
  };

  test('has the drill that stands for its class, and loses it with the others', async () => {
    const lesson = await aLesson(api);
    const later = await bare(lesson, '2026-09-21');
    const { body } = await adapt(lesson, 'class', drill(lesson.drills.hang));
    expect((await layOut(lesson, later.id)).status).toBe(200);
    expect(await taughtIn(lesson, later.id)).toMatchObject({ drill: 'Long hang', spotting: 'none' });
    const { items } = (await lesson.manager.get<{ items: Adaptation[] }>(`${lesson.gym}/adaptations`)).body;
    expect(items[0]?.blockIds).toHaveLength(2);
    await undo(lesson, body);
    expect(await taughtIn(lesson, later.id)).toMatchObject({ drill: 'Tuck hang', spotting: 'stand-by' });
  });

  test('is taught as planned in another class, and has a step up only where somebody is there to spot it', async () => {
    const lesson = await aLesson(api, { grade: 2 });
    await adapt(lesson, 'class', drill(lesson.drills.hang));
    const { f, plan } = lesson;
    const levels = [plan.programme.levels[0]];
    const other = await bare(
      lesson,
      '2026-09-21',
      await aClass(f, { programme: plan.programme, levels, startsAt: '19:00' }),
    );
    await layOut(lesson, other.id);
    expect(await taughtIn(lesson, other.id)).toMatchObject({ drill: 'Tuck hang', why: [] });
    const harder = await aLesson(api, { grade: 2 });
    await harder.f.arrange((tx) => tx.delete(t.drillSkills).where(eq(t.drillSkills.drillId, harder.drills.cast.id)));
    expect((await adapt(harder, 'class', drill(harder.drills.cast))).status).toBe(201);
    const later = await bare(harder, '2026-09-21');
    await layOut(harder, later.id);
    expect(await taughtIn(harder, later.id)).toMatchObject({ drill: 'Tuck hang', why: [] });
  });
});

test('a session laid out while a class is adapted has the other drill too', async () => {
  const lesson = await aLesson(api);
  const { f, plan, session } = lesson;
  let adapting: ReturnType<typeof adapt> | undefined;
  const owner = await api.database.ownerPool.connect();
  try {
    // Whoever lays sessions of a class out holds it.
    await owner.query('BEGIN');
    await owner.query('SELECT FROM classes WHERE id = $1 FOR NO KEY UPDATE', [session.class.id]);
    let answered = false;
    adapting = adapt(lesson, 'class', drill(lesson.drills.hang)).finally(() => {
      answered = true;
    });
    while (!answered && !(await somebodyWaits()));
    await aSession(f, { plan, class: session.class, day: '2026-09-21' });
    await owner.query('COMMIT');
  } finally {
    owner.release();
  }
  expect((await adapting)?.body.blockIds).toHaveLength(2);
});

async function somebodyWaits(): Promise<boolean> {
  const { rows } = await api.database.ownerPool.query(
    'SELECT FROM pg_locks JOIN pg_stat_activity USING (pid) WHERE NOT granted AND datname = current_database()',
  );
  return rows.length > 0;
}
