import { z } from 'zod';
import { FindingOnWire, UnitOnWire } from '../../enforcement/wire.ts';
import { Day, Fraction, Id, Instant, Sentence, whole } from '../../platform/http/wire.ts';

const Count = z.int().min(0).max(100_000);
const PersonName = z.string().max(300);
const findings = z.array(FindingOnWire).max(500);

/** A block or a session is shown from so long before it starts. */
export const SHOWN_AHEAD_MINUTES = 60;
/** What will go wrong is told so long before. */
export const WARNED_AHEAD_MINUTES = 30;
/** The board looks no further for room: `readRoom` does. */
export const MOST_ROOM = 6;

const BoardStaff = z
  .strictObject({
    personId: Id,
    name: PersonName,
    duty: z.enum(['lead', 'assist', 'shadow', 'oversee']),
    state: z.enum(['not-in', 'in', 'on-break', 'left', 'out-of-hall']).meta({
      description: 'By what they or the desk wrote down today; `not-in`: they have not checked in yet',
    }),
    there: z.boolean().meta({
      description:
        'Whether the cover takes them to be there: who is in; and who has not checked in, until the place begins, or for as long as none of their colleagues has',
    }),
  })
  .meta({ id: 'BoardStaff' });
export type BoardStaff = z.output<typeof BoardStaff>;

const BoardAthlete = z
  .strictObject({
    athleteId: Id,
    name: PersonName,
    state: z.enum(['present', 'out-of-hall', 'expected', 'on-hold']),
  })
  .meta({ id: 'BoardAthlete' });
export type BoardAthlete = z.output<typeof BoardAthlete>;

const counts = {
  present: Count.meta({ description: 'In the building for it' }),
  outOfHall: Count.meta({ description: 'Of those, out of the hall at the moment' }),
  expected: Count.meta({ description: 'Still to come' }),
  onHold: Count,
};

const Room = z
  .strictObject({
    more: z.int().min(0).max(200),
    ruleId: z.string().max(120).nullable().meta({ description: 'The rule that stops the next one; null: none does' }),
    rule: z.string().max(200).nullable(),
  })
  .meta({ id: 'Room' });
export type Room = z.output<typeof Room>;

const State = z.enum(['running', 'next']);
export const BoardBlock = z
  .strictObject({
    blockId: Id,
    name: z.string().max(400),
    group: z.string().max(200),
    areas: z.array(z.string().max(200)).max(50),
    startsAt: Instant,
    endsAt: Instant,
    state: State,
    confirmed: z.boolean(),
    ...counts,
    athletes: z
      .array(BoardAthlete)
      .max(500)
      .nullable()
      .meta({ description: 'Null for those who may not read the attendance of this block' }),
    staff: z.array(BoardStaff).max(200),
    covered: z.boolean().meta({
      description:
        'With its session and the premises. What runs is judged at this moment by who is there; what comes next by the plan, everybody expected',
    }),
    needed: z.int().min(0).max(2_147_483_647).meta({ description: 'Coaches, by the rule that asks for most' }),
    counted: Fraction.meta({ description: 'What those there count for under that rule' }),
    findings,
    room: Room.nullable().meta({
      description: `How many more like its youngest athlete fit once everybody expected has come, looked for up to ${MOST_ROOM}; null with nobody to go by, and for what comes next: \`readRoom\` answers for those`,
    }),
  })
  .meta({ id: 'BoardBlock' });
export type BoardBlock = z.output<typeof BoardBlock>;

export const BoardSession = z
  .strictObject({
    sessionId: Id,
    name: z.string().max(400),
    startsAt: Instant,
    endsAt: Instant,
    state: State,
    ...counts,
    overseers: z.array(BoardStaff).max(50),
    blocks: z.array(BoardBlock).max(100),
  })
  .meta({
    id: 'BoardSession',
    description: `A session of which a block runs or starts within ${SHOWN_AHEAD_MINUTES} minutes, with those blocks; start and end are theirs and those of its other blocks today`,
  });
export type BoardSession = z.output<typeof BoardSession>;

export const BoardWarning = z
  .strictObject({
    kind: z
      .enum([
        'coach-not-in',
        'coach-on-break',
        'coach-left',
        'qualification-ends',
        'too-many-coming',
        'starts-uncovered',
        'cover-ends',
      ])
      .meta({
        description: `What will go wrong within ${WARNED_AHEAD_MINUTES} minutes:
- \`coach-not-in\`: somebody’s place begins, and they have not checked in (at a gym whose staff did in the last fourteen days);
- \`coach-on-break\`: it begins, and they are on a break;
- \`coach-left\`: it begins, and they have left;
- \`qualification-ends\`: a qualification or screening of somebody whose place runs or begins ends, at midnight;
- \`too-many-coming\`: what is covered now is not once everybody expected has come;
- \`starts-uncovered\`: a block begins without the cover that it needs;
- \`cover-ends\`: what is covered now will not be, with those who are there.`,
      }),
    at: Instant.nullable().meta({ description: 'When; null: as soon as they come' }),
    unit: UnitOnWire,
    personId: Id.nullable(),
    sentence: Sentence,
    finding: FindingOnWire.nullable(),
  })
  .meta({ id: 'BoardWarning' });
export type BoardWarning = z.output<typeof BoardWarning>;

export const Board = z
  .strictObject({
    gymId: Id,
    at: Instant.meta({ description: 'When it was read; everything else changes with what happens' }),
    day: Day.meta({ description: 'Today there; in the night, yesterday while somebody of it is not collected yet' }),
    sessions: z.array(BoardSession).max(200).meta({ description: 'Now and next; in the order of their start' }),
    premises: z
      .strictObject({
        athletes: Count.meta({
          description: 'In the building and at no block: early, between two, out, not collected',
        }),
        staff: z.array(BoardStaff).max(200).meta({ description: 'Floaters, and who is between two places' }),
        covered: z.boolean(),
        findings,
      })
      .meta({ id: 'BoardPremises' }),
    notCollected: z
      .strictObject({
        count: Count,
        athletes: z
          .array(z.strictObject({ athleteId: Id, name: PersonName, sessionId: Id, since: Instant }))
          .max(200)
          .meta({ description: 'Those whose attendance you may read, the longest waiting first' }),
      })
      .meta({ id: 'NotCollected', description: 'Still here after their last block: supervised until checked out' }),
    ahead: z.array(BoardWarning).max(200).meta({ description: 'What will go wrong, the soonest first' }),
  })
  .meta({ id: 'Board', description: 'A gym as it is at this moment, from what was recorded' });
export type Board = z.output<typeof Board>;

export const RoomQuery = z.strictObject({
  ageYears: whole(0, 99).meta({ description: 'Completed years: asked for somebody whose birthday it is' }),
  at: Instant.optional().meta({ description: 'Now, when left out; else later today' }),
});
export const BoardRoom = z
  .strictObject({
    at: Instant,
    ageYears: z.int().min(0).max(99),
    blocks: z
      .array(
        z.strictObject({
          blockId: Id,
          sessionId: Id,
          name: z.string().max(400),
          startsAt: Instant,
          endsAt: Instant,
          state: State,
          here: Room.nullable().meta({
            description: 'With those who are there at this moment; null for what does not run now',
          }),
          whenAllCome: Room.meta({ description: 'Once everybody expected has come' }),
        }),
      )
      .max(500),
  })
  .meta({
    id: 'BoardRoom',
    description: `How many more of an age fit into each block that runs then or starts within ${SHOWN_AHEAD_MINUTES} minutes of it, by the rules; a class’s own capacity is another matter`,
  });
export type BoardRoom = z.output<typeof BoardRoom>;
