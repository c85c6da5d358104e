import { addDrill } from '../features/curriculum/drills.ts';
import { addProgression } from '../features/curriculum/progressions.ts';
import type { DrillSpotting, NewDrill } from '../features/curriculum/schema.ts';
import type { Context } from '../platform/context.ts';
import { named } from './acting.ts';
import type { DrillData } from './data/drill.ts';
import { DETAILS, IF_IT_GOES_WRONG } from './data/drill-details.ts';
import { DRILLS } from './data/drills.ts';
import { type LevelName, PROGRAMMES, type ProgrammeKey } from './data/place.ts';
import type { Place } from './seed-place.ts';

/** The drill library with its progressions; gives their ids by name. */
export async function seedDrills(ctx: Context, place: Place): Promise<(name: string) => string> {
  const ids: [string, string][] = [];
  for (const data of DRILLS) ids.push([data.name, (await addDrill(ctx, drillOf(data, place))).id]);
  const drill = named(ids);
  for (const { name, after, higher } of DRILLS) {
    const kind = higher ? 'height' : 'skill';
    if (after) await addProgression(ctx, { easierId: drill(after), harderId: drill(name), kind });
  }
  return drill;
}

function drillOf(data: DrillData, place: Place): NewDrill {
  const details = DETAILS[data.name] ?? {};
  const lookFors = (details.lookFors ?? []).map(([phase, right, wrong, say]) => ({ phase, right, wrong, say }));
  const levels = (details.levels ?? []).map(([from, to]) => ({
    programmeId: place.programme(programmeWith(from)),
    fromLevelId: place.level(from),
    toLevelId: place.level(to),
  }));
  const equipment = (details.needs ?? []).map(({ piece, amount = 1, fit }) => ({
    apparatusId: place.apparatus(piece),
    amount,
    fit: fit
      ? {
          measure: 'shoulder' as const,
          lowerByCm: fit.lowerByCm,
          higherByCm: fit.higherByCm,
          raise: { apparatusId: place.apparatus(fit.raise), under: fit.under },
        }
      : null,
  }));
  return {
    name: data.name,
    apparatusId: place.apparatus(data.on),
    sayFirst: data.sayFirst,
    ifItGoesWrong: details.ifItGoesWrong ?? IF_IT_GOES_WRONG[data.on],
    lookFors,
    levels,
    spotting: spottingOf(data, place),
    skills: [{ skillId: place.skill(data.skill), signOff: data.signOff ?? null }],
    equipment,
    secondsATurn: data.seconds,
    places: data.places,
    placesAre: details.underWay ? 'under-way' : 'side-by-side',
    height: details.height ?? null,
    demonstration: null,
    diagram: details.diagram ?? null,
  };
}

function programmeWith(level: LevelName): ProgrammeKey {
  const keys = Object.keys(PROGRAMMES) as ProgrammeKey[];
  const key = keys.find((one) => PROGRAMMES[one].levels.some((name) => name === level));
  if (!key) throw new RangeError(`no programme has the level "${level}"`);
  return key;
}

function spottingOf({ spotting }: DrillData, place: Place): DrillSpotting {
  if (spotting === 'none') return { mode: 'none' };
  const [mode, grade] = spotting.split(' ') as ['stand-by' | 'hands-on', string];
  return { mode, kindId: place.kind('spotting'), grade: Number(grade) };
}
