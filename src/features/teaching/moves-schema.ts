import { z } from 'zod';
import { Id, Instant, Name, PageQuery, page, Revision } from '../../platform/http/wire.ts';

export const LevelRef = z.strictObject({ levelId: Id });

/** On so many days at most can a level ask for a skill to be shown. */
export const MOST_DAYS = 10;
const onDays = z.int().min(1).max(MOST_DAYS).meta({ description: 'On how many days each', example: 2 });
const criteria = {
  skillIds: z.array(Id).max(30).meta({ description: 'To be shown alone or steadily' }),
  onDays,
  signedBy: z.enum(['gym', 'franchise']).meta({ description: 'Who signs: the gym, or only those above all gyms' }),
};
export const CriteriaBody = z
  .strictObject({
    ...criteria,
    onDays: onDays.optional().meta({
      description: 'On how many days each; left out, the fewest of the franchise’s setting (`moveUpDays`) at that time',
      example: 2,
    }),
  })
  .meta({ id: 'LevelCriteriaBody' });
export type CriteriaBody = z.output<typeof CriteriaBody>;
export const Criteria = z.strictObject({ levelId: Id, ...criteria, revision: Revision }).meta({
  id: 'LevelCriteria',
  description: 'What it takes to move up from a level; without skills, nothing is asked and nobody is listed',
});
export type Criteria = z.output<typeof Criteria>;

const Ready = z
  .strictObject({
    athleteId: Id,
    name: z.string().max(300).nullable().meta({ description: 'Null for those who may not read athletes there' }),
    levelId: Id,
    level: Name,
    signedBy: criteria.signedBy,
  })
  .meta({ id: 'ReadyToMoveUp' });
export type Ready = z.output<typeof Ready>;
export const ReadyPage = page(Ready, 'ReadyToMoveUpPage');
export const ReadyQuery = z.strictObject({ ...PageQuery, levelId: Id.optional() });

export const NewMove = z.strictObject({ athleteId: Id, levelId: Id }).meta({ id: 'NewLevelMove' });
export type NewMove = z.output<typeof NewMove>;
export const Move = z
  .strictObject({ athleteId: Id, levelId: Id, signedAt: Instant })
  .meta({ id: 'LevelMove', description: 'Signed: they may move up from that level' });
export type Move = z.output<typeof Move>;
