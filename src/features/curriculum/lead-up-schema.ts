import { z } from 'zod';
import { Id, Name, PageQuery, page } from '../../platform/http/wire.ts';
import { HEIGHTS } from '../../tables/curriculum.ts';
import { Drill } from './schema.ts';

export const SkillRef = z.strictObject({ skillId: Id });

const DrillBrief = z
  .strictObject({ id: Id, name: Name, apparatusId: Id, height: z.enum(HEIGHTS).nullable() })
  .meta({ id: 'DrillBrief' });

const RelatedDrill = z
  .strictObject({ stepsAway: z.int().min(1).max(100_000), drill: Drill })
  .meta({ id: 'RelatedDrill' });
export const RelatedDrillPage = page(RelatedDrill, 'RelatedDrillPage');
export const RelatedQuery = z.strictObject({
  ...PageQuery,
  levelId: Id.optional().meta({ description: 'Only drills for this level, or for everyone' }),
});

export const HeightLadder = z
  .strictObject({
    rungs: z
      .array(z.strictObject({ height: z.enum(HEIGHTS), drills: z.array(DrillBrief).max(50) }))
      .max(HEIGHTS.length)
      .meta({ description: 'Lowest first; none: the drill is on no ladder' }),
  })
  .meta({ id: 'HeightLadder', description: 'The same thing at every height; choosing a lower one is never a failing' });
export type HeightLadder = z.output<typeof HeightLadder>;

export const LeadUpQuery = z.strictObject({
  fromDrillId: Id.optional().meta({ description: 'What they can do already; left out: from the beginning' }),
});
export const LeadUp = z
  .strictObject({
    skillId: Id,
    way: z
      .array(DrillBrief)
      .max(500)
      .meta({ description: 'From the easiest drill to one that teaches the skill; empty: no way leads there' }),
  })
  .meta({ id: 'LeadUp' });
export type LeadUp = z.output<typeof LeadUp>;

const UnledSkill = z
  .strictObject({
    skillId: Id,
    name: Name,
    apparatusId: Id,
    why: z
      .enum(['no-drill', 'no-lead-up'])
      .meta({ description: 'No drill teaches it; or those that do have no easier one before them' }),
  })
  .meta({ id: 'UnledSkill' });
export type UnledSkill = z.output<typeof UnledSkill>;
export const UnledSkillPage = page(UnledSkill, 'UnledSkillPage');
