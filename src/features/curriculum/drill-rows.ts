import type { DrillRow } from './drill-file-schema.ts';
import type { DrillContent } from './drills-repo.ts';
import type { Drill, Progression } from './schema.ts';
import { named, unknownName, type Vocabulary } from './vocabulary.ts';

interface Fault {
  pointer: string;
  detail: string;
}

/** A drill that a row says leads to its own. */
export interface LeadsFrom {
  apparatusId: string;
  drill: string;
  kind: Progression['kind'];
  pointer: string;
}

export interface Resolved {
  /** Where the row says nothing of its spotting, that is null. */
  content: Omit<DrillContent, 'spotting'> & { spotting: Drill['spotting'] | null };
  leadsFrom: LeadsFrom[];
}

/** A row with its names made ids, or everything in it that names nothing or does not go together. */
export function resolved(row: DrillRow, words: Vocabulary): Resolved | { faults: Fault[] } {
  const faults: Fault[] = [];
  const fault = (pointer: string, detail: string) => void faults.push({ pointer, detail });
  const apparatusAt = (pointer: string, name: string) => {
    const one = named(words.apparatus, name);
    if (!one) fault(pointer, unknownName(words, 'apparatus', name, words.apparatus));
    return one;
  };
  const apparatus = apparatusAt('/apparatus', row.apparatus);
  const spotting = spottingOf(row, words, fault);
  const levels = row.levels.flatMap((range, at) => levelsOf(range, `/levels/${at}`, words, fault));
  const skills = row.skills.flatMap(({ signOff, ...said }, at) => {
    const on = apparatusAt(`/skills/${at}/apparatus`, said.apparatus);
    const those = words.skills.filter(({ apparatusId }) => apparatusId === on?.id);
    const skill = named(those, said.skill);
    if (on && !skill) fault(`/skills/${at}/skill`, unknownName(words, `skill on ${on.name}`, said.skill, those));
    if (signOff !== null && row.spotting === 'none') {
      fault(
        `/skills/${at}/signOff`,
        'Nobody spots this drill, so there is nothing to be signed off for: leave it empty.',
      );
    }
    return skill ? [{ skillId: skill.id, signOff }] : [];
  });
  const equipment = row.equipment.flatMap((said, at) => {
    const piece = apparatusAt(`/equipment/${at}/apparatus`, said.apparatus);
    const fit = fitOf(said, `/equipment/${at}`, apparatusAt, fault);
    return piece ? [{ apparatusId: piece.id, amount: said.amount, fit }] : [];
  });
  const leadsFrom = row.leadsFrom.flatMap(({ apparatus: on, drill, kind }, at) => {
    const one = apparatusAt(`/leadsFrom/${at}/apparatus`, on);
    return one ? [{ apparatusId: one.id, drill, kind, pointer: `/leadsFrom/${at}/drill` }] : [];
  });
  if (faults.length === 0) {
    onceEach(
      skills,
      ({ skillId }) => skillId,
      (at) => fault(`/skills/${at}/skill`, 'Name each skill once.'),
    );
    onceEach(
      equipment,
      (one) => one.apparatusId,
      (at) => fault(`/equipment/${at}/apparatus`, 'Name each piece once, with how many of it.'),
    );
    onceEach(
      levels,
      (one) => one.programmeId,
      (at) => fault(`/levels/${at}/programme`, 'Name each programme once.'),
    );
  }
  if (faults.length > 0 || !apparatus) return { faults };
  const { name, sayFirst, ifItGoesWrong, lookFors, places, placesAre, height, demonstration, diagram } = row;
  const said = { name, sayFirst, ifItGoesWrong, lookFors, places, placesAre, height, demonstration, diagram };
  const secondsATurn = row.secondsATurn ?? apparatus.secondsATurn;
  return {
    content: { ...said, apparatusId: apparatus.id, spotting, levels, skills, equipment, secondsATurn },
    leadsFrom,
  };
}

type Say = (pointer: string, detail: string) => void;

function onceEach<T>(things: readonly T[], keyOf: (one: T) => string, twice: (at: number) => void): void {
  const keys = things.map(keyOf);
  for (const [at, key] of keys.entries()) if (keys.indexOf(key) < at) twice(at);
}

function spottingOf(row: DrillRow, words: Vocabulary, fault: Say): Drill['spotting'] | null {
  const { spotting: mode, spottingKind, spottingGrade: grade } = row;
  if (mode === null || mode === 'none') {
    const unspotted = mode === null ? 'It does not say who spots this drill' : 'Nobody spots this drill';
    const detail = `${unspotted}: leave it empty, or say how it is spotted.`;
    if (spottingKind !== null) fault('/spottingKind', detail);
    if (grade !== null) fault('/spottingGrade', detail);
    return mode === null ? null : { mode };
  }
  if (spottingKind === null) fault('/spottingKind', 'Say which qualification its spotter needs.');
  if (grade === null) fault('/spottingGrade', 'Say the lowest grade that will do; 1 is the first.');
  if (spottingKind === null || grade === null) return null;
  const kind = named(words.kinds, spottingKind);
  if (!kind) fault('/spottingKind', unknownName(words, 'qualification', spottingKind, words.kinds));
  else if (!kind.countsFor.includes('spotting')) {
    fault('/spottingKind', `"${kind.name}" does not count for spotting; name a kind that does.`);
  } else if (grade > kind.grades.length) {
    fault('/spottingGrade', `"${kind.name}" has the grades 1 to ${kind.grades.length}.`);
  }
  return kind ? { mode, kindId: kind.id, grade } : null;
}

function levelsOf(range: DrillRow['levels'][number], at: string, words: Vocabulary, fault: Say): Drill['levels'] {
  const programme = named(words.programmes, range.programme);
  if (!programme) {
    fault(`${at}/programme`, unknownName(words, 'programme', range.programme, words.programmes));
    return [];
  }
  const those = words.levels.filter(({ programmeId }) => programmeId === programme.id);
  const [from, to] = [named(those, range.from), named(those, range.to)];
  const what = `level of ${programme.name}`;
  if (!from) fault(`${at}/from`, unknownName(words, what, range.from, those));
  if (!to) fault(`${at}/to`, unknownName(words, what, range.to, those));
  if (!from || !to) return [];
  if (to.position < from.position) fault(`${at}/to`, `"${to.name}" comes before "${from.name}": turn them round.`);
  return [{ programmeId: programme.id, fromLevelId: from.id, toLevelId: to.id }];
}

function fitOf(
  { fits, lowerByCm, higherByCm, raise, raiseUnder }: DrillRow['equipment'][number],
  at: string,
  apparatusAt: (pointer: string, name: string) => { id: string } | undefined,
  fault: Say,
): Drill['equipment'][number]['fit'] {
  if (fits === null) {
    const said = { lowerByCm, higherByCm, raise, raiseUnder };
    for (const [part, value] of Object.entries(said)) {
      if (value !== null)
        fault(`${at}/${part}`, 'Say first which measure of the body it has to fit, or leave this empty.');
    }
    return null;
  }
  if ((raise === null) !== (raiseUnder === null)) {
    fault(
      `${at}/${raise === null ? 'raise' : 'raiseUnder'}`,
      'Say both what raises and what it is laid under, or neither.',
    );
  }
  const raiser = raise === null ? undefined : apparatusAt(`${at}/raise`, raise);
  const under = raiser && raiseUnder ? { apparatusId: raiser.id, under: raiseUnder } : null;
  return { measure: fits, lowerByCm: lowerByCm ?? 0, higherByCm: higherByCm ?? 0, raise: under };
}

/**
 * A row as the whole drill that it makes: what the file has no place for stays as it was before. Says what is wrong where
 * nobody can tell how it is to be spotted.
 */
export function completed(
  { spotting, ...content }: Resolved['content'],
  before: Drill | null,
  says: ReadonlySet<string>,
): DrillContent | Fault {
  const kept = <F extends keyof typeof content>(field: F): (typeof content)[F] =>
    before === null || says.has(field) ? content[field] : before[field];
  const spotted = spotting ?? (before === null || says.has('spotting') ? null : before.spotting);
  if (spotted === null) {
    return { pointer: '/spotting', detail: 'Say who spots it: "none", "stand-by" or "hands-on". There is no default.' };
  }
  const skills = kept('skills');
  if (spotted.mode === 'none' && skills.some(({ signOff }) => signOff !== null)) {
    return {
      pointer: '/spotting',
      detail: 'Its skills ask for a sign-off of whoever spots it: say its skills as well.',
    };
  }
  return {
    ...content,
    spotting: spotted,
    skills,
    ifItGoesWrong: kept('ifItGoesWrong'),
    height: kept('height'),
    secondsATurn: kept('secondsATurn'),
    places: kept('places'),
    placesAre: kept('placesAre'),
    demonstration: kept('demonstration'),
    lookFors: kept('lookFors'),
    levels: kept('levels'),
    equipment: kept('equipment'),
    diagram: kept('diagram'),
  };
}

/** A drill with everything by its name, and what leads to it; lists that have no order of their own, by name. */
export function rowOf(
  drill: Drill,
  words: Vocabulary,
  leadsFrom: readonly { apparatusId: string; name: string; kind: Progression['kind'] }[],
): DrillRow {
  const nameIn = (things: readonly { id: string; name: string }[], id: string) =>
    things.find((one) => one.id === id)?.name ?? '';
  const on = (id: string) => nameIn(words.apparatus, id);
  const { name, sayFirst, ifItGoesWrong, height, spotting, secondsATurn, places, placesAre } = drill;
  return {
    apparatus: on(drill.apparatusId),
    name,
    sayFirst,
    ifItGoesWrong,
    height,
    spotting: spotting.mode,
    spottingKind: spotting.mode === 'none' ? null : nameIn(words.kinds, spotting.kindId),
    spottingGrade: spotting.mode === 'none' ? null : spotting.grade,
    secondsATurn,
    places,
    placesAre,
    demonstration: drill.demonstration,
    lookFors: drill.lookFors.map(({ phase, right, wrong, say }) => ({ phase, right, wrong, say })),
    levels: drill.levels
      .map(({ programmeId, fromLevelId, toLevelId }) => {
        // In their order now: levels may have been moved since the drill was written.
        const ends = words.levels.filter(({ id }) => id === fromLevelId || id === toLevelId);
        return {
          programme: nameIn(words.programmes, programmeId),
          from: ends.at(0)?.name ?? '',
          to: ends.at(-1)?.name ?? '',
        };
      })
      .sort(by(({ programme }) => programme)),
    skills: drill.skills
      .map(({ skillId, signOff }) => {
        const skill = words.skills.find(({ id }) => id === skillId);
        return { apparatus: on(skill?.apparatusId ?? ''), skill: skill?.name ?? '', signOff };
      })
      .sort(by((one) => `${one.apparatus}\n${one.skill}`)),
    equipment: drill.equipment.map(({ apparatusId, amount, fit }) => ({
      apparatus: on(apparatusId),
      amount,
      fits: fit?.measure ?? null,
      lowerByCm: fit?.lowerByCm ?? null,
      higherByCm: fit?.higherByCm ?? null,
      raise: fit?.raise ? on(fit.raise.apparatusId) : null,
      raiseUnder: fit?.raise?.under ?? null,
    })),
    leadsFrom: leadsFrom
      .map((one) => ({ apparatus: on(one.apparatusId), drill: one.name, kind: one.kind }))
      .sort(by((one) => `${one.apparatus}\n${one.drill}`)),
    diagram: drill.diagram,
  };
}

const by =
  <T>(keyOf: (one: T) => string) =>
  (a: T, b: T) =>
    keyOf(a) < keyOf(b) ? -1 : 1;
