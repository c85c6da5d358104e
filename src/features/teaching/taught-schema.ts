import { z } from 'zod';
import { Day, GymRef, Id, Instant, Line, Name, PageQuery, page } from '../../platform/http/wire.ts';
import { OUTCOMES, SHOWN } from '../../tables/teaching.ts';

const outcome = z.enum(OUTCOMES);
const why = Line(300)
  .nullable()
  .meta({ description: 'Needed for what was skipped or adapted', example: 'It ran late.' });
export const NewTicks = z
  .strictObject({
    stations: z
      .array(z.strictObject({ stationId: Id, outcome, why: why.default(null) }))
      .min(1)
      .max(12)
      .meta({ description: 'One or several of the block; what was ticked before is replaced' }),
  })
  .meta({ id: 'NewTicks' });
export type NewTicks = z.output<typeof NewTicks>;
export const TaughtBlock = z
  .strictObject({
    blockId: Id,
    stations: z
      .array(
        z.strictObject({
          stationId: Id,
          station: Name,
          outcome: outcome.nullable(),
          why,
          tickedAt: Instant.nullable(),
        }),
      )
      .max(12)
      .meta({ description: 'In the plan’s order; null where nothing was ticked' }),
  })
  .meta({ id: 'TaughtBlock' });
export type TaughtBlock = z.output<typeof TaughtBlock>;

const how = z.enum(SHOWN).meta({ description: 'Working on it, with help, alone, or steadily' });
export const NewSkillsShown = z
  .strictObject({
    skillId: Id,
    everyone: how.optional().meta({
      description: 'For everybody in the group who is not named in `shown`, nor marked absent',
      example: 'with-help',
    }),
    shown: z
      .array(z.strictObject({ athleteId: Id, how }))
      .max(60)
      .default([]),
  })
  .meta({ id: 'NewSkillsShown', example: { skillId: '01930d5e-8a4c-7c3a-9f65-3b1f0c6d2a11', everyone: 'alone' } });
export type NewSkillsShown = z.output<typeof NewSkillsShown>;
export const SkillsShown = z
  .strictObject({
    blockId: Id,
    skillId: Id,
    day: Day,
    shown: z.array(z.strictObject({ athleteId: Id, how })).max(1000),
  })
  .meta({ id: 'SkillsShown' });

export const AthleteRef = GymRef.extend({ athleteId: Id });
const AthleteSkill = z
  .strictObject({
    skillId: Id,
    skill: Name,
    best: how,
    last: how,
    lastOn: Day,
    daysAlone: z.int().min(0).max(10_000).meta({ description: 'On how many days it was shown alone or steadily' }),
  })
  .meta({ id: 'AthleteSkill' });
export type AthleteSkill = z.output<typeof AthleteSkill>;
export const AthleteSkillPage = page(AthleteSkill, 'AthleteSkillPage');
export const AthleteSkillQuery = z.strictObject(PageQuery);
