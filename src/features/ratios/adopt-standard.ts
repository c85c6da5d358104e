import { type Adoption, ruleSet } from '../../cover/index.ts';
import { storedOf } from '../../enforcement/rule-codec.ts';
import { undatedFact } from '../../enforcement/undated-fact.ts';
import type { Context } from '../../platform/context.ts';
import { newId } from '../../platform/ids.ts';
import { invalid } from '../../platform/problem.ts';
import type { StoredRule } from '../../tables/stored-rule.ts';
import { faultsInAdoption } from './adoption-check.ts';
import { refuseFaults, refusePast } from './refusals.ts';
import * as repo from './repo.ts';
import { faultsInRule } from './rule-check.ts';
import type { MixedAges } from './rule-schema.ts';
import type { StandardAdoption } from './schema.ts';
import { findStandard } from './standards.ts';
import { scopeOf } from './written.ts';

/**
 * Makes the rules of a published table the franchise's, one a part, in force from a day that is not past. Refuses a table
 * that is not there, and an adoption that names what is not there or a kind of qualification that is good for something else.
 */
export async function adoptStandard(ctx: Context, adoption: StandardAdoption) {
  const standard = findStandard(adoption.standard);
  if (!standard) throw invalid('/standard', 'There is no such standard: see GET /v1/ratio-standards.');
  refuseFaults(await faultsInAdoption(ctx, standard, adoption));
  await refusePast(ctx, null, adoption.from);

  const ids = new Map(standard.parts.map((part) => [part, newId()]));
  const rules = ruleSet(
    standard.id,
    engineAdoption(adoption, (part) => ids.get(part) ?? newId()),
  );
  const chosen = standard.parts.flatMap((part) => {
    const rule = rules.find(({ id }) => id === ids.get(part));
    const isChosen = adoption.parts === undefined || adoption.parts.includes(part);
    return rule && isChosen ? [{ part, rule }] : [];
  });
  const versions = chosen.map(({ part, rule }) => ({
    id: rule.id,
    version: 1,
    gymId: null,
    name: standard.parts.length === 1 ? standard.name : `${standard.name}: ${part}`,
    body: withMixedAges(storedOf(rule), adoption),
    from: adoption.from,
    until: null,
    retired: false,
  }));
  refuseFaults(versions.flatMap(({ body }) => faultsInRule(body, '')));

  return undatedFact(ctx, async (lock) => {
    const rows = await repo.insertVersions(ctx, lock, versions);
    for (const { id } of versions) {
      await ctx.record(
        'ratios.rule-added',
        { subjectId: id, revision: 1 },
        { ruleId: id, version: 1, standard: standard.id },
      );
    }
    return { rules: rows.map((row) => repo.ruleShown(row, [row])) };
  });
}

function engineAdoption(adoption: StandardAdoption, id: (part: string) => string): Adoption {
  const { from, kinds, scope, scopes = {}, except, traits, categories, whileSpotting, overridable } = adoption;
  const bound = Object.entries(kinds).map(([slot, one]) => [slot, one && { kind: one.kindId, grade: one.grade }]);
  return {
    inForceFrom: from,
    kinds: Object.fromEntries(bound),
    scope: scopeOf(scope),
    scopes: Object.fromEntries(Object.entries(scopes).map(([part, one]) => [part, scopeOf(one)])),
    except: except === null ? null : scopeOf(except),
    traits: Object.fromEntries(Object.entries(traits)),
    categories: Object.fromEntries(Object.entries(categories)),
    whileSpotting,
    overridable,
    id,
  };
}

/** Another way with mixed ages than the one chosen here, where one is asked for; it is then the franchise's choice. */
export function withMixedAges(rule: StoredRule, { mixed }: { mixed?: MixedAges | undefined }): StoredRule {
  if (mixed === undefined || rule.bands.length === 0) return rule;
  const theirs = `mixed ages: ${mixed.method} (the franchise's choice)`;
  const source = rule.source && {
    ...rule.source,
    silentOn: [theirs, ...rule.source.silentOn.filter((line) => !line.startsWith('mixed '))],
  };
  return { ...rule, mixed, source };
}
