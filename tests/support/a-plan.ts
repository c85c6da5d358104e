import type { Spotting } from '../../src/cover/types.ts';
import { newId } from '../../src/platform/ids.ts';
import * as t from '../../src/tables/index.ts';
import type { ApparatusName, Franchise } from './a-franchise.ts';
import type { QualificationKind } from './people.ts';

export interface Programme {
  id: string;
  /** Three, the beginners' first. */
  levels: [string, string, string];
}

/** A programme with three levels. */
export async function aProgramme(f: Franchise, name = 'Recreational'): Promise<Programme> {
  const id = newId();
  const levels: Programme['levels'] = [newId(), newId(), newId()];
  await f.arrange(async (tx) => {
    await tx.insert(t.programmes).values({ franchiseId: f.id, id, name: `${name} ${id}` });
    await tx.insert(t.levels).values(
      levels.map((levelId, index) => ({
        franchiseId: f.id,
        id: levelId,
        programmeId: id,
        position: index + 1,
        name: `Level ${index + 1}`,
      })),
    );
  });
  return { id, levels };
}

export interface StationOptions {
  apparatus?: ApparatusName;
  /** Spotted by hand by somebody who holds this; nobody needs to, when left out. */
  handsOn?: { kind: QualificationKind; grade?: number };
  standBy?: { kind: QualificationKind; grade?: number };
  items?: number;
}

export interface PlanBlockOptions {
  title?: string;
  activity?: (typeof t.ACTIVITIES)[number];
  minutes?: number;
  /** One on the floor, not spotted, when left out. */
  stations?: StationOptions[];
  inTurn?: true;
}

export interface PlanOptions {
  programme?: Programme;
  /** The Monday. */
  weekOf?: string;
  /** One of 20 minutes when left out. */
  blocks?: PlanBlockOptions[];
}

export interface PublishedPlan {
  id: string;
  versionId: string;
  programme: Programme;
  blocks: { id: string; minutes: number; areasOn: ApparatusName; stations: { id: string; drillId: string }[] }[];
}

/** A lesson plan, published: each station has one drill, spotted as the station says. */
export async function aPublishedPlan(f: Franchise, options: PlanOptions = {}): Promise<PublishedPlan> {
  const programme = options.programme ?? (await aProgramme(f));
  const ours = { franchiseId: f.id };
  const planId = newId();
  const versionId = newId();
  const planned = (options.blocks ?? [{}]).map((block, index) => ({
    ...block,
    id: newId(),
    position: index + 1,
    minutes: block.minutes ?? 20,
    stations: (block.stations ?? [{}]).map((station) => ({
      ...station,
      id: newId(),
      drillId: newId(),
      apparatus: station.apparatus ?? 'floor',
      spotting: spottingOf(station),
    })),
  }));
  const published = new Date('2026-08-01T09:00:00Z');
  await f.arrange(async (tx) => {
    await tx
      .insert(t.lessonPlans)
      .values({ ...ours, id: planId, title: 'Rolls and supports', weekOf: options.weekOf ?? '2026-09-07' });
    await tx.insert(t.lessonPlanProgrammes).values({ ...ours, planId, programmeId: programme.id });
    await tx
      .insert(t.planVersions)
      .values({ ...ours, id: versionId, planId, number: 1, state: 'published', publishedAt: published });
    await tx.insert(t.planBlocks).values(
      planned.map((block) => ({
        ...ours,
        id: block.id,
        planVersionId: versionId,
        position: block.position,
        title: block.title ?? `Part ${block.position}`,
        activity: block.activity ?? 'apparatus',
        minutes: block.minutes,
        formation: 'stations' as const,
        importance: 1,
        classRule: 'One at a time on the mat.',
        stationsRun: block.inTurn ? ('in-turn' as const) : ('side-by-side' as const),
      })),
    );
    for (const block of planned) {
      if (block.stations.length === 0) continue;
      await tx.insert(t.drills).values(
        block.stations.map(({ drillId, apparatus, spotting }) => ({
          ...ours,
          id: drillId,
          name: `Drill ${drillId}`,
          apparatusId: f.apparatus[apparatus],
          sayFirst: 'Look where you land.',
          spottingMode: spotting.mode,
          spottingKindId: spotting.mode === 'none' ? null : spotting.kind,
          spottingGrade: spotting.mode === 'none' ? null : spotting.grade,
          secondsATurn: 20,
          places: 1,
        })),
      );
      await tx.insert(t.planStations).values(
        block.stations.map((station, index) => ({
          ...ours,
          id: station.id,
          planBlockId: block.id,
          position: index + 1,
          name: `Station ${index + 1}`,
          setUp: 'One thick mat',
          apparatusId: f.apparatus[station.apparatus],
          items: station.items ?? 1,
          spotting: station.spotting,
        })),
      );
      const used = [...new Set(block.stations.map(({ apparatus }) => f.apparatus[apparatus]))];
      await tx
        .insert(t.planBlockApparatus)
        .values(
          used.map((apparatusId, index) => ({ ...ours, planBlockId: block.id, apparatusId, position: index + 1 })),
        );
      const steps = block.stations.map(({ id, drillId }) => ({ id: newId(), stationId: id, drillId }));
      await tx.insert(t.planSteps).values(
        steps.map(({ id, stationId }) => ({
          ...ours,
          id,
          stationId,
          position: 1,
          doseAmount: 3,
          doseUnit: 'turns' as const,
          weight: 'core' as const,
        })),
      );
      await tx
        .insert(t.planStepDrills)
        .values(steps.map(({ id, drillId }) => ({ ...ours, stepId: id, drillId, position: 1 })));
    }
  });
  return {
    id: planId,
    versionId,
    programme,
    blocks: planned.map(({ id, minutes, stations }) => ({
      id,
      minutes,
      areasOn: stations[0]?.apparatus ?? 'floor',
      stations: stations.map((station) => ({ id: station.id, drillId: station.drillId })),
    })),
  };
}

function spottingOf({ handsOn, standBy }: StationOptions): Spotting {
  const needed = handsOn ?? standBy;
  if (!needed) return { mode: 'none' };
  const mode = handsOn ? 'hands-on' : 'stand-by';
  return { mode, kind: needed.kind.id, grade: needed.grade ?? 1, skills: [] };
}
