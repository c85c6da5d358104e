import type { Diagram } from '../../src/features/curriculum/diagram-schema.ts';
import * as t from '../../src/tables/index.ts';
import { aBlock, aStep, writing } from './a-draft.ts';
import { APPARATUS, type ApparatusName, aFranchise } from './a-franchise.ts';
import type { PublishedPlan } from './a-plan.ts';
import { aRule, oneTo } from './a-rule.ts';
import { aClass, anAssignment, aSession } from './a-session.ts';
import type { Api } from './api.ts';
import { anAthlete, aQualificationKind, aStaffMember } from './people.ts';

export const WHAT: Record<ApparatusName, string> = {
  floor: 'Forward roll to stand',
  vault: 'Run, rebound and land',
  bars: 'Long hang and tuck',
  beam: 'Walk, turn and dismount',
};

const DRAWING: Diagram = {
  title: 'A wedge with a mat',
  widthCm: 500,
  depthCm: 250,
  pieces: [
    { piece: 'wedge', x: 130, y: 110, lengthCm: 180, widthCm: 120, turn: 0, label: null },
    { piece: 'thick-mat', x: 320, y: 110, lengthCm: 200, widthCm: 120, turn: 0, label: 'landing' },
    { piece: 'cone', x: 30, y: 210, lengthCm: 20, widthCm: 20, turn: 0, label: 'wait here' },
  ],
  arrows: [{ from: { x: 40, y: 110 }, to: { x: 400, y: 110 }, label: null }],
  people: [{ who: 'coach', x: 230, y: 210, label: 'coach' }],
};

const LONG = ['Sadhbh-Caoilfhionn', 'Muireann-Éabha', 'Oisín', 'Fionnghuala-Bríd', 'Tadhg', 'Blaithnaid-Róisín'];

/** A coach with so many stations a block in four blocks, in words as a lead writes them, for twelve children with long names. */
export async function aFullLesson(api: Api, { stations, drawn = false }: { stations: number; drawn?: boolean }) {
  const f = await aFranchise(api);
  await aRule(f, { body: oneTo(12) });
  const lead = api.as(f.lead);
  const write = writing(f, lead);
  const kind = await aQualificationKind(f, { name: 'Hand spotting' });
  const programme = await write.aProgramme('Recreational');
  const [bronze = '', silver = ''] = programme.levels.map(({ id }) => id);
  const blocks = [];
  for (const [number, name] of APPARATUS.entries()) {
    const on = { apparatusId: f.apparatus[name] };
    const made = [];
    for (let at = 1; at <= stations; at += 1) {
      const isSpotted = at === 1 && name !== 'floor';
      const drill = await write.aDrill({
        ...on,
        name: `${WHAT[name]}, part ${at} of the way`,
        sayFirst: 'One at a time; wait behind the cone until the mat is clear.',
        ifItGoesWrong: 'Stop, feet down, step off to the side.',
        spotting: isSpotted ? { mode: 'stand-by', kindId: kind.id, grade: 1 } : { mode: 'none' },
        lookFors: [
          { phase: 'Start', right: 'arms by the ears', wrong: 'looking down', say: 'Tall, eyes on the wall' },
          { phase: 'Finish', right: 'two feet, knees soft', wrong: 'one foot first', say: 'Stick it' },
        ],
      });
      made.push(
        write.aStation([], {
          ...on,
          name: `${WHAT[name]} ${at}`,
          setUp: {
            words: 'Panel mat lengthways, cone at each end',
            pieces: [
              {
                apparatusId: f.apparatus.floor,
                amount: 1,
                job: 'landing',
                forMixedSizes: false,
                orInstead: [{ apparatusId: f.apparatus.vault, amount: 2 }],
              },
            ],
            staysUp: at === stations,
            diagram: drawn ? { ...DRAWING, title: `${WHAT[name]} ${at}` } : null,
          },
          steps: [
            aStep([drill.id]),
            aStep([drill.id], {
              weight: 'if-time',
              fromLevelId: silver,
              dose: { amount: 10, unit: 'seconds', sets: 2, eachSide: true, note: null },
            }),
          ],
        }),
      );
    }
    blocks.push(
      aBlock(made, {
        title: `${WHAT[name]} (rotation ${number + 1})`,
        minutes: 15,
        classRule: 'Nobody goes until the coach says the name.',
        waterFirst: number === 2,
      }),
    );
  }
  const draft = await write.aDraft(programme.id);
  const written = await write.write(draft.id, draft.draft.revision, {
    focus: APPARATUS.slice(0, 2).map((name) => ({
      apparatusId: f.apparatus[name],
      skills: [],
      nextWeek: 'The same from a low block.',
    })),
    blocks,
  });
  const version = await write.publish(draft.id, written.revision, { note: 'The wedge is the short one.' });
  const plan: PublishedPlan = {
    id: draft.id,
    versionId: version.id,
    programme: { id: programme.id, levels: [bronze, silver, silver] },
    blocks: version.blocks.map(({ id, minutes }, index) => ({
      id,
      minutes,
      areasOn: APPARATUS[index] ?? 'floor',
      stations: [],
    })),
  };
  const children: string[] = [];
  for (const given of [...LONG, ...LONG])
    children.push(await anAthlete(f, { given, family: 'Nic Giolla Phádraig-Fitzsimons' }));
  const of = await aClass(f, { programme: plan.programme, levels: [bronze, silver] });
  const session = await aSession(f, { plan, class: of, groups: [children, 6] });
  const holds = [{ kind, grade: 3 }];
  const coachId = await aStaffMember(f, { given: 'Ciarán-Pádraig', family: 'Ó Maolalaidh-Fitzsimons', holds });
  await aStaffMember(f, { given: 'Orla', family: 'Keane', holds });
  for (const block of session.blocks) await anAssignment(f, block, coachId);
  const [first = ''] = children;
  await f.arrange((tx) =>
    tx.insert(t.personHealth).values({ franchiseId: f.id, personId: first, alerts: 'Nut allergy: pen in the red bag' }),
  );
  return {
    f,
    session,
    coachId,
    manager: f.managerOf(f.gym),
    at: `/gyms/${f.gym.id}/sessions/${session.id}/sheet`,
    children,
  };
}
