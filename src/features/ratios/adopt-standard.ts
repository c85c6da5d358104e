import { type Adoption as EngineAdoption, ruleSet, type Standard } from '../../cover/index.ts';
import { storedOf } from '../../enforcement/rule-codec.ts';
import { undatedFact } from '../../enforcement/undated-fact.ts';
import type { Context } from '../../platform/context.ts';
import { newId } from '../../platform/ids.ts';
import { type Fault, invalid } from '../../platform/problem.ts';
import type { StoredRule } from '../../tables/stored-rule.ts';
import { refuseFaults } from './refusals.ts';
import * as repo from './repo.ts';
import { faultsInRule } from './rule-check.ts';
import { faultsInKind, faultsInScope, kindsOf } from './rule-references.ts';
import type { Mixed } from './rule-schema.ts';
import type { Adoption } from './schema.ts';
import { findStandard } from './standards.ts';
import { scopeOf } from './written.ts';

/** Makes the rules of a published table the franchise's, one a part. */
export async function adoptStandard(ctx: Context, adoption: Adoption) {
  const standard = findStandard(adoption.standard);
  if (!standard) throw invalid('/standard', 'There is no such standard: see GET /v1/ratio-standards.');
  refuseFaults([...faultsInParts(standard, adoption), ...(await faultsInKinds(ctx, standard, adoption))]);
  refuseFaults(await faultsInScopes(ctx, adoption));

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

function engineAdoption(adoption: Adoption, id: (part: string) => string): EngineAdoption {
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
export function withMixedAges(rule: StoredRule, { mixed }: { mixed?: Mixed | undefined }): StoredRule {
  if (mixed === undefined || rule.bands.length === 0) return rule;
  const theirs = `mixed ages: ${mixed.method} (the franchise's choice)`;
  const source = rule.source && {
    ...rule.source,
    silentOn: [theirs, ...rule.source.silentOn.filter((line) => !line.startsWith('mixed '))],
  };
  return { ...rule, mixed, source };
}

function faultsInParts({ id, parts }: Standard, adoption: Adoption): Fault[] {
  const known = (part: string) => parts.includes(part);
  const detail = `Standard "${id}" has no such part; its parts are ${parts.join(', ')}.`;
  return [
    ...(adoption.parts ?? []).flatMap((part, i) => (known(part) ? [] : [{ pointer: `/parts/${i}`, detail }])),
    ...Object.keys(adoption.scopes ?? {}).flatMap((part) =>
      known(part) ? [] : [{ pointer: `/scopes/${part}`, detail }],
    ),
  ];
}

async function faultsInKinds(ctx: Context, { id, slots }: Standard, { kinds }: Adoption): Promise<Fault[]> {
  const missing = slots
    .filter(({ slot, required }) => required && kinds[slot] === undefined)
    .map(({ slot, means }) => ({
      pointer: `/kinds/${slot}`,
      detail: `Name your kind of qualification for it: ${means}.`,
    }));
  const known = await kindsOf(ctx);
  const wrong = Object.entries(kinds).flatMap(([slot, one]): Fault[] => {
    if (one === undefined) return [];
    if (!slots.some((spoken) => spoken.slot === slot)) {
      return [{ pointer: `/kinds/${slot}`, detail: `Standard "${id}" does not speak of it; leave it out.` }];
    }
    return faultsInKind(known, one.kindId, one.grade, `/kinds/${slot}/kindId`, `/kinds/${slot}/grade`);
  });
  return [...missing, ...wrong];
}

async function faultsInScopes(ctx: Context, { scope, scopes = {}, except }: Adoption): Promise<Fault[]> {
  const faults = await faultsInScope(ctx, scopeOf(scope), null, '/scope');
  if (except !== null) faults.push(...(await faultsInScope(ctx, scopeOf(except), null, '/except')));
  for (const [part, one] of Object.entries(scopes)) {
    faults.push(...(await faultsInScope(ctx, scopeOf(one), null, `/scopes/${part}`)));
  }
  return faults;
}
