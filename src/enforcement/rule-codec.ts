import { formatFraction, parseFraction } from '../cover/index.ts';
import type { Rule } from '../cover/types.ts';
import type { StoredRule } from '../tables/stored-rule.ts';

type Body = Omit<Rule, 'id' | 'version' | 'owner' | 'inForce'>;

/** What the engine reads, from what is stored: only the fractions differ. */
export function ruleOf(stored: StoredRule): Body {
  return {
    ...stored,
    bands: stored.bands.map((band) => ({
      ...band,
      limits: band.limits.map((limit) => ({ ...limit, athletesPerCoach: parseFraction(limit.athletesPerCoach) })),
    })),
    mixed: mixedOf(stored.mixed, parseFraction),
    counts: stored.counts.map(({ who, share, maxOf }) => ({
      who,
      share: parseFraction(share),
      maxOf: maxOf === null ? null : { share: parseFraction(maxOf.share), base: maxOf.base },
    })),
  };
}

/** What is stored, from what the engine reads. */
export function storedOf(rule: Body): StoredRule {
  return {
    source: rule.source,
    strength: rule.strength,
    overridable: rule.overridable,
    scope: rule.scope,
    except: rule.except,
    per: rule.per,
    agesOf: rule.agesOf,
    bands: rule.bands.map((band) => ({
      ...band,
      limits: band.limits.map((limit) => ({ ...limit, athletesPerCoach: formatFraction(limit.athletesPerCoach) })),
    })),
    mixed: mixedOf(rule.mixed, formatFraction),
    plus: rule.plus,
    floors: rule.floors,
    caps: rule.caps,
    counts: rule.counts.map(({ who, share, maxOf }) => ({
      who,
      share: formatFraction(share),
      maxOf: maxOf === null ? null : { share: formatFraction(maxOf.share), base: maxOf.base },
    })),
    whileSpotting: rule.whileSpotting,
    supervision: rule.supervision,
    staffBelowYearsAreAthletes: rule.staffBelowYearsAreAthletes,
  };
}

type MixedWith<F> =
  | { method: Exclude<Rule['mixed']['method'], 'composition'> }
  | {
      method: 'composition';
      rows: { ifBand: string; atLeast: { count: number } | { share: F }; use: string }[];
    };

function mixedOf<From, To>(mixed: MixedWith<From>, convert: (share: From) => To): MixedWith<To> {
  if (mixed.method !== 'composition') return mixed;
  return {
    method: 'composition',
    rows: mixed.rows.map(({ ifBand, atLeast, use }) => ({
      ifBand,
      atLeast: 'share' in atLeast ? { share: convert(atLeast.share) } : atLeast,
      use,
    })),
  };
}
