import type { Id, Rule, Scope, Test } from '../types.ts';
import { gymbcCompetitive, gymbcParty, gymbcRecreational } from './canada-gymnastics.ts';
import { eyfs2023, eyfsPre2023 } from './england-early-years.ts';
import { type Adoption, type Bound, type Standard, YOUNGEST } from './standard.ts';
import { bgGeneral, bgParentToddler, bgPreschool } from './uk-gymnastics.ts';
import { birminghamTrampoline, nspccCpsu, sportWales } from './uk-sport.ts';
import { acaDay, acaOvernight, mississippiCamp } from './usa-camps.ts';
import { cfocCenter, cfocLargeHome, naeyc2013, naeyc2018 } from './usa-early-years.ts';

export type { Adoption, KindSlot, Standard } from './standard.ts';

/** Published adult-to-child tables, restated as numbers. Editions age, and local rules come first. */
export const standards: readonly Standard[] = [
  nspccCpsu,
  sportWales,
  acaDay,
  acaOvernight,
  cfocCenter,
  cfocLargeHome,
  naeyc2018,
  naeyc2013,
  eyfs2023,
  eyfsPre2023,
  mississippiCamp,
  bgPreschool,
  bgParentToddler,
  bgGeneral,
  gymbcRecreational,
  gymbcCompetitive,
  gymbcParty,
  birminghamTrampoline,
];

/**
 * A published table as rules of the franchise: version 1, `refuse`, one rule a part, with what the table is silent on.
 * Throws a RangeError on an unknown standard, on a required kind that is not bound and on a scope for an unknown part.
 */
export function ruleSet(standardId: string, adoption: Adoption): Rule[] {
  const standard = standards.find(({ id }) => id === standardId);
  if (standard === undefined) {
    throw new RangeError(`There is no standard "${standardId}"; there are ${standards.map(({ id }) => id).join(', ')}`);
  }
  refuseUnbound(standard, adoption);
  const built = standard.build(bind(adoption));
  return standard.parts.map((part) => ruleFrom(standard, part, built[part] ?? {}, adoption));
}

function ruleFrom({ id, edition, silentOn }: Standard, part: string, rule: Partial<Rule>, adoption: Adoption): Rule {
  const {
    inForceFrom,
    scope = {},
    scopes = {},
    except = null,
    mixed,
    whileSpotting = 'counts',
    overridable = true,
  } = adoption;
  const ruleId: Id = adoption.id?.(part) ?? `${id}/${part}`;
  const plain: Rule = {
    id: ruleId,
    version: 1,
    owner: 'franchise',
    source: { standard: id, edition, silentOn },
    strength: 'refuse',
    overridable,
    inForce: { from: inForceFrom, to: null },
    scope: (scopes[part] ?? scope) satisfies Scope,
    except,
    per: 'block',
    agesOf: 'present',
    bands: [],
    mixed: YOUNGEST,
    plus: 0,
    floors: [],
    caps: [],
    counts: [],
    whileSpotting,
    supervision: [],
    staffBelowYearsAreAthletes: null,
  };
  return { ...plain, ...rule, ...(mixed === undefined ? {} : { mixed }) };
}

function bind({ kinds = {}, traits = {}, categories = {} }: Adoption): Bound {
  const nobody: Test = { test: 'any', of: [] };
  return {
    holds: (slot) => {
      const bound = kinds[slot];
      return bound === undefined ? nobody : { test: 'holds', ...bound };
    },
    accompanied: traits.accompanied ?? 'accompanied',
    specialNeeds: traits['special-needs'] ?? 'special-needs',
    beforeKindergarten: categories['before-kindergarten'] ?? 'before-kindergarten',
    kindergarten: categories.kindergarten ?? 'kindergarten',
    schoolAge: categories['school-age'] ?? 'school-age',
  };
}

function refuseUnbound({ id, slots, parts }: Standard, { kinds = {}, scopes = {} }: Adoption): void {
  const missing = slots.filter(({ slot, required }) => required && kinds[slot] === undefined);
  if (missing.length > 0) {
    const named = missing.map(({ slot, means }) => `${slot} (${means})`).join(' and ');
    throw new RangeError(`Standard "${id}" needs a qualification kind for ${named}: name one in kinds`);
  }
  const unknown = Object.keys(scopes).filter((part) => !parts.includes(part));
  if (unknown.length > 0) {
    throw new RangeError(`Standard "${id}" has no part ${unknown.join(', ')}: its parts are ${parts.join(', ')}`);
  }
}
