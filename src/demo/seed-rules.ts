import { addRule } from '../features/ratios/add-rule.ts';
import { adoptStandard } from '../features/ratios/adopt-standard.ts';
import { NewRatioRule, StandardAdoption } from '../features/ratios/schema.ts';
import type { Context } from '../platform/context.ts';
import { PROGRAMMES, type ProgrammeKey } from './data/place.ts';
import type { Place } from './seed-place.ts';

/** The grade of the coaching certificate from which somebody counts as a certified coach. */
const CERTIFIED = 2;

/** One published table, by name, for every programme; and one gym that asks for more. Gives the gym's rule. */
export async function seedRules(ctx: Context, place: Place, from: string): Promise<string> {
  const programmes = (Object.keys(PROGRAMMES) as ProgrammeKey[]).map((key) => place.programme(key));
  await adoptStandard(
    ctx,
    StandardAdoption.parse({
      standard: 'gymbc-rec',
      kinds: { 'certified-coach': { kindId: place.kind('coaching'), grade: CERTIFIED } },
      scope: { programme: programmes },
      from,
    }),
  );
  const { id } = await addRule(
    ctx,
    place.gym('brandle'),
    NewRatioRule.parse({
      name: 'Brandle Cove: five little ones a coach',
      from,
      rule: {
        scope: { programme: [place.programme('preschool')] },
        bands: [{ id: '3 to 5', from: { months: 36 }, to: { months: 72 }, limits: [{ athletesPerCoach: '5' }] }],
        counts: [
          {
            who: {
              test: 'all',
              of: [
                { test: 'holds', kind: place.kind('coaching'), grade: CERTIFIED },
                { test: 'duty', in: ['lead', 'assist', 'oversee'] },
              ],
            },
            share: '1',
            maxOf: null,
          },
        ],
      },
    }),
  );
  return id;
}
