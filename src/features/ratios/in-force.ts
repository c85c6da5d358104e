/** A version of a rule, as far as its days go. */
interface Version {
  version: number;
  from: string;
  until: string | null;
}

/**
 * The first day on which a version is no longer in force: its own end, or the first day of a later version, whichever
 * comes first; null while neither is known. One that ends on or before its first day never is in force.
 */
export function endOf(one: Version, all: readonly Version[]): string | null {
  const ends = all.filter(({ version }) => version > one.version).map(({ from }) => from);
  if (one.until !== null) ends.push(one.until);
  return ends.sort()[0] ?? null;
}

/** The version in force on a day, retirements included: the newest that has begun, unless it has ended. */
export function versionOn<V extends Version>(all: readonly V[], day: string): V | null {
  const begun = all.filter(({ from }) => from <= day);
  const newest = begun.reduce<V | null>((a, b) => (a === null || b.version > a.version ? b : a), null);
  return newest === null || (newest.until !== null && newest.until <= day) ? null : newest;
}
