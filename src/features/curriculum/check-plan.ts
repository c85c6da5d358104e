import type { Context } from '../../platform/context.ts';
import { drillsById } from './drills-repo.ts';
import * as content from './plan-content-repo.ts';
import type { PlanBlock, PlanStation, PlanStep } from './plan-content-schema.ts';
import type { PlanCheck, PlanVersion } from './plan-schema.ts';
import * as plans from './plans-repo.ts';
import { levelsOf } from './repo.ts';
import type { Drill } from './schema.ts';
import { spottingKinds } from './spotting.ts';
import { getDraft } from './take-draft.ts';

type PlanFault = PlanCheck['faults'][number];

/** What a plan is checked against. */
interface Known {
  drills: ReadonlyMap<string, Drill>;
  /** The levels of the plan's programmes. */
  levels: ReadonlySet<string>;
}

/** A version's content with the drills that it names, and everything in it that keeps it from being published. */
export async function examine(ctx: Context, version: PlanVersion) {
  const plan = await plans.getPlan(ctx, version.planId, 'drafts-too');
  const { blocks } = await content.contentOf(ctx, version.id);
  const steps = blocks.flatMap(({ stations }) => stations.flatMap((station) => station.steps));
  const drills = await drillsById(
    ctx,
    steps.flatMap(({ drillIds }) => drillIds),
  );
  const levels = await levelsOf(ctx, plan.programmeIds);
  return { blocks, drills, faults: faultsIn(blocks, { drills, levels }) };
}

/** Is the plan's draft whole? Its first 200 faults. Refuses as plan-frozen when there is no draft. */
export async function checkDraft(ctx: Context, planId: string): Promise<PlanCheck> {
  const { faults } = await examine(ctx, await getDraft(ctx, planId));
  return { whole: faults.length === 0, faults: faults.slice(0, 200) };
}

function faultsIn(blocks: readonly PlanBlock[], known: Known): PlanFault[] {
  if (blocks.length === 0) return [{ pointer: '/blocks', detail: 'There is nothing in it yet: add a block.' }];
  return blocks.flatMap((block, at) => faultsInBlock(block, `/blocks/${at}`, known));
}

function faultsInBlock(block: PlanBlock, at: string, known: Known): PlanFault[] {
  const { title, minutes, stations, stationsRun, apparatusIds } = block;
  const faults: PlanFault[] = [];
  if (minutes === 0) faults.push({ pointer: `${at}/minutes`, detail: `"${title}" has no minutes.` });
  if (stations.length === 0) faults.push({ pointer: `${at}/stations`, detail: `"${title}" has no station.` });
  if (stationsRun === 'in-turn' && minutes > 0 && minutes < stations.length) {
    const detail = `"${title}" has ${stations.length} stations in turn and ${minutes} minutes: less than one each.`;
    faults.push({ pointer: `${at}/minutes`, detail });
  }
  for (const [s, { name, apparatusId }] of stations.entries()) {
    if (apparatusIds.includes(apparatusId)) continue;
    const detail = `"${title}" does not name the apparatus that its station "${name}" is on.`;
    faults.push({ pointer: `${at}/stations/${s}/apparatusId`, detail });
  }
  for (const [k, id] of apparatusIds.entries()) {
    if (stations.length === 0 || stations.some(({ apparatusId }) => apparatusId === id)) continue;
    const detail = `No station of "${title}" is on this apparatus.`;
    faults.push({ pointer: `${at}/apparatusIds/${k}`, detail });
  }
  return [...faults, ...stations.flatMap((station, s) => faultsInStation(station, `${at}/stations/${s}`, known))];
}

function faultsInStation(station: PlanStation, at: string, known: Known): PlanFault[] {
  const { name, setUp, steps } = station;
  const faults: PlanFault[] = [];
  if (setUp.words.trim() === '' && setUp.pieces.length === 0) {
    faults.push({ pointer: `${at}/setUp`, detail: `"${name}" does not say what is set up.` });
  }
  if (steps.length === 0) faults.push({ pointer: `${at}/steps`, detail: `"${name}" has no step.` });
  faults.push(...steps.flatMap((step, k) => faultsInStep(step, station, `${at}/steps/${k}`, known)));
  const drills = steps.flatMap(({ drillIds }) => drillIds.flatMap((id) => known.drills.get(id) ?? []));
  if (spottingKinds(drills).length > 1) {
    const detail = `"${name}" asks its spotter for more than one kind of qualification; split it into two stations.`;
    faults.push({ pointer: `${at}/steps`, detail });
  }
  return faults;
}

function faultsInStep(
  { drillIds, fromLevelId }: PlanStep,
  { name, apparatusId }: PlanStation,
  at: string,
  known: Known,
): PlanFault[] {
  const faults: PlanFault[] = [];
  for (const [d, drillId] of drillIds.entries()) {
    const drill = known.drills.get(drillId);
    if (!drill) continue;
    const pointer = `${at}/drillIds/${d}`;
    if (drill.retired) {
      const detail = `"${drill.name}" is retired: name another drill in its place, or bring it back first.`;
      faults.push({ pointer, detail });
    }
    if (drill.apparatusId !== apparatusId) {
      const detail = `"${drill.name}" is done on another apparatus than the station "${name}" has.`;
      faults.push({ pointer, detail });
    }
  }
  if (fromLevelId !== null && !known.levels.has(fromLevelId)) {
    const detail = 'This level is in none of the programmes that the plan is for.';
    faults.push({ pointer: `${at}/fromLevelId`, detail });
  }
  return faults;
}
