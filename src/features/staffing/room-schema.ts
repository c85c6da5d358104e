import { z } from 'zod';
import { FindingOnWire } from '../../enforcement/wire.ts';
import { Day, Id, Instant, Line, page, Sentence, whole } from '../../platform/http/wire.ts';

const months = z.int().min(0).max(1440);
const category = Line(60).meta({ description: 'As it would be enrolled', example: 'kindergarten' });
const trait = Line(60).meta({ description: 'Such as “accompanied”' });

export const HeadroomQuery = z.strictObject({
  born: Day.optional().meta({ description: 'For somebody born then' }),
  ageMonths: whole(0, 1440).optional().meta({ description: 'Or of that age in completed months on the day' }),
  category: category.optional(),
  trait: trait.optional(),
});
export type HeadroomQuery = z.output<typeof HeadroomQuery>;

const Capacity = z
  .strictObject({ capacity: z.int().min(0), enrolled: z.int().min(0), left: z.int().min(0) })
  .meta({ id: 'ClassCapacity', description: 'The class’s own limit, on that day' });

const more = z.int().min(0).max(200);
export const Stop = z
  .strictObject({
    what: z.enum(['rule', 'capacity', 'spotting', 'support', 'plan-withdrawn', 'nothing']).meta({
      description: 'What stops the next one; `nothing`: no limit within 200',
    }),
    ruleId: z.string().max(120).nullable(),
    rule: z.string().max(200).nullable(),
    findings: z.array(FindingOnWire).max(50).meta({ description: 'What would be found with one more' }),
  })
  .meta({ id: 'HeadroomStop' });

export const SessionHeadroom = z
  .strictObject({
    sessionId: Id,
    day: Day,
    capacity: Capacity,
    groups: z
      .array(
        z.strictObject({
          groupId: Id,
          name: Line(60),
          athletes: z.int().min(0).max(10_000),
          more: more.meta({ description: 'So many fit, one after another, into all of its blocks and the class' }),
          stop: Stop,
          blocks: z
            .array(
              z.strictObject({
                blockId: Id,
                name: z.string().max(400),
                more,
                bindingRuleId: z.string().max(120).nullable(),
              }),
            )
            .max(200),
        }),
      )
      .max(12),
  })
  .meta({
    id: 'SessionHeadroom',
    description:
      'How many more like this fit, under every rule. Tried one by one: one more may fit where fewer do not.',
    example: {
      sessionId: '01930d5e-8a4c-7c3a-9f65-3b1f0c6d2a11',
      day: '2026-09-14',
      capacity: { capacity: 24, enrolled: 15, left: 9 },
      groups: [
        {
          groupId: '01930d5e-8a4c-7c3a-9f65-3b1f0c6d2a12',
          name: 'Group 1',
          athletes: 7,
          more: 1,
          stop: { what: 'rule', ruleId: '01930d5e-8a4c-7c3a-9f65-3b1f0c6d2a13', rule: 'One to eight', findings: [] },
          blocks: [],
        },
      ],
    },
  });

const Somebody = z
  .strictObject({
    athleteId: Id.optional().meta({ description: 'Somebody known here; needs the permission athletes.read' }),
    born: Day.nullable().optional(),
    ageMonths: months.optional(),
    category: category.nullable().default(null),
    traits: z.array(trait).max(10).default([]),
  })
  .meta({ id: 'RoomSeeker', description: 'An athlete by id; or anybody, by birth date or age in completed months' });

export const RoomQuestion = z
  .strictObject({
    from: Day,
    until: Day.optional().meta({
      description: 'The first day that is out, at most 14 days after `from`; left out: one day',
    }),
    athletes: z.array(Somebody).min(1).max(6),
    oneFamily: z
      .boolean()
      .default(false)
      .meta({ description: 'Those who are not known here are one family, where a rule counts families' }),
    programmeId: Id.optional(),
  })
  .meta({
    id: 'RoomQuestion',
    example: { from: '2026-09-17', athletes: [{ born: '2019-05-02' }, { born: '2021-11-20' }], oneFamily: true },
  });
export type RoomQuestion = z.output<typeof RoomQuestion>;

export const RoomAtSession = z
  .strictObject({
    sessionId: Id,
    classId: Id,
    className: z.string().max(120),
    day: Day,
    startsAt: Instant,
    endsAt: Instant,
    capacityLeft: z.int().min(0),
    fits: z
      .boolean()
      .meta({ description: 'All of them together, added in the order given, with no block uncovered on the way' }),
    isSearchComplete: z
      .boolean()
      .meta({ description: 'False: there were more ways to share them out than were tried, and none of those held' }),
    placements: z
      .array(z.strictObject({ athlete: z.int().min(0).max(5), groupId: Id, groupName: Line(60) }))
      .max(6)
      .meta({ description: 'Who would go where, by their place in the question' }),
    why: z
      .array(
        z.strictObject({
          code: z.enum(['cover', 'capacity', 'already-there', 'two-places', 'not-laid-out']),
          sentence: Sentence,
          athlete: z.int().min(0).max(5).nullable(),
          groupId: Id.nullable(),
          bindingRuleId: z.string().max(120).nullable(),
        }),
      )
      .max(50)
      .meta({ description: 'Why not: of cover, for the first who found no place, what stops them in each group' }),
  })
  .meta({ id: 'RoomAtSession' });
export type RoomAtSession = z.output<typeof RoomAtSession>;
export const RoomPage = page(RoomAtSession, 'RoomPage');
