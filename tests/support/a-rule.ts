import { newId } from '../../src/platform/ids.ts';
import * as t from '../../src/tables/index.ts';
import type { StoredRule } from '../../src/tables/stored-rule.ts';
import { type Franchise, PLANNED_AT, type TestGym } from './a-franchise.ts';

/** A rule that asks nothing but what `body` says: leads and assistants count one each. */
export const ruleBody = (body: Partial<StoredRule> = {}): StoredRule => ({
  source: null,
  strength: 'refuse',
  overridable: true,
  scope: {},
  except: null,
  per: 'block',
  agesOf: 'present',
  bands: [],
  mixed: { method: 'youngest' },
  plus: 0,
  floors: [],
  caps: [],
  counts: [{ who: { test: 'duty', in: ['lead', 'assist'] }, share: '1', maxOf: null }],
  whileSpotting: 'counts',
  supervision: [],
  staffBelowYearsAreAthletes: null,
  ...body,
});

/** One coach for so many athletes of any age. */
export const oneTo = (athletes: number): Partial<StoredRule> => ({
  bands: [
    {
      id: 'any age',
      from: null,
      to: null,
      category: null,
      trait: null,
      countBy: 'athlete',
      limits: [{ upToGroup: null, athletesPerCoach: `${athletes}`, when: null }],
      largestGroup: null,
      mixes: 'in',
    },
  ],
});

export interface RuleOptions {
  gym?: TestGym;
  name?: string;
  from?: string;
  body?: Partial<StoredRule>;
}

/** A rule of the franchise, or of a gym, in force since 2020; gives its id. */
export async function aRule(f: Franchise, options: RuleOptions = {}): Promise<string> {
  const id = newId();
  await f.arrange((tx) =>
    tx.insert(t.ratioRules).values({
      franchiseId: f.id,
      id,
      version: 1,
      gymId: options.gym?.id ?? null,
      name: options.name ?? 'One to eight',
      body: ruleBody(options.body ?? oneTo(8)),
      from: options.from ?? '2020-01-01',
      createdAt: PLANNED_AT,
    }),
  );
  return id;
}
