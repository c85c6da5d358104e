import { setImmediate } from 'node:timers/promises';
import { coverOf, narrowed, sentence, uncoveredBlocks } from '../../cover/index.ts';
import type { Block, Floor, Place } from '../../cover/types.ts';
import { type GymFloor, loadFloor } from '../../enforcement/load-floor.ts';
import { loadNames } from '../../enforcement/names.ts';
import { type Context, scopesAt } from '../../platform/context.ts';
import { instantOf } from '../../platform/http/wire.ts';
import { refuse } from '../../platform/problem.ts';
import { brief } from '../curriculum/briefings.ts';
import { contentOf } from '../curriculum/plan-content-repo.ts';
import type { PlanBlock, PlanContent } from '../curriculum/plan-content-schema.ts';
import { recordHealthRead } from '../people/health.ts';
import { holds } from '../people/persons.ts';
import { dayOf } from '../schedule/zone-time.ts';
import { asIfConfirmed } from '../staffing/cover.ts';
import { asTaught, type Library } from './adapted-station.ts';
import { loadLibrary } from './library.ts';
import { type Lacking, notYetShown } from './not-yet-shown.ts';
import * as repo from './sheet-repo.ts';
import type { LessonSheet, SheetPart, SheetStation, SheetTurn } from './sheet-schema.ts';
import { standIns } from './stand-ins.ts';

type Names = Awaited<ReturnType<typeof loadNames>>;

/**
 * The lesson sheet of a session: what is taught, as adapted, when, where and with whom, who spots, and who may step in.
 * Only of one coach, when `personId` is given; a coach sees their own, and with nothing there, not found. On the day it
 * has the medical alerts of those in its groups, or come to go with one, for whoever may read them, and the reading leaves a trace; whoever only
 * shadows a block sees neither alerts nor names of its group.
 */
export async function readSheet(
  ctx: Context,
  gymId: string,
  sessionId: string,
  { personId }: { personId?: string | undefined },
): Promise<LessonSheet> {
  const seesAll = holds(ctx, 'sheets.read', gymId);
  const of = coachOf(ctx, !seesAll, personId);
  const session = await repo.getSheetSession(ctx, gymId, sessionId);
  const here = await loadFloor(ctx, { gymId, day: session.day });
  const names = await loadNames(ctx, here);
  const rows = (await repo.selectSheetBlocks(ctx, sessionId)).filter(
    ({ blockId }) => of === null || dutiesOn(here.floor, blockId, of).length > 0,
  );
  if (of !== null && rows.length === 0) throw refuse('not-found', 'They have no block of that session here.');

  const blockIds = rows.map(({ blockId }) => blockId);
  const versions = await repo.selectVersions(
    ctx,
    rows.map(({ versionId }) => versionId),
  );
  const contents = new Map<string, PlanContent>();
  for (const { versionId } of versions) contents.set(versionId, await contentOf(ctx, versionId));
  const adapted = await repo.selectAdapted(ctx, blockIds);
  const library = await loadLibrary(
    ctx,
    [...contents.values()],
    adapted.flatMap(({ drillId }) => drillId ?? []),
  );
  const groupIds = rows.map(({ groupId }) => groupId);
  const members = await repo.selectMembers(ctx, groupIds);
  // Whoever asks for what they teach themselves sees it as its coach, whatever other role they have.
  const asCoach = of !== null && of === ctx.personId && scopesAt(ctx, 'health.read', gymId).has('own-blocks');
  const teaches = ({ blockId }: repo.SheetBlock) =>
    asCoach && dutiesOn(here.floor, blockId, of).some((duty) => duty !== 'shadow');
  const own = new Set(rows.filter(teaches).map(({ groupId }) => groupId));
  const mayKnow = (permission: 'athletes.read' | 'health.read') => {
    const ofAll = holds(ctx, permission, gymId);
    return (groupId: string) => ofAll || own.has(groupId);
  };
  const mayName = mayKnow('athletes.read');
  const lacking = await notYetShown(ctx, library, members, mayName);

  const parts = await partsOf(rows, { here, names, contents, adapted, library, lacking, members, of });
  // Blocks that had ended when the session took another version were taught from the one before.
  const version = versions.find(({ versionId }) => versionId === session.planVersionId) ?? versions[0];
  const briefing = version ? await brief(ctx, version.planId, version.number) : null;
  const mayReadAlerts = mayKnow('health.read');
  const isOnTheDay = dayOf(ctx.now, session.zone) === session.day;
  const groupOf = new Map(rows.map(({ groupId, group }) => [groupId, group]));
  // Whoever came for a trial or a make-up, of this gym or a sister gym, is in front of the coach as well.
  const joining = isOnTheDay ? await repo.selectGoingWith(ctx, sessionId, groupIds) : [];
  const alerts = [...members, ...joining].flatMap(({ athleteId, name, groupId, alerts: said }) =>
    said !== null && isOnTheDay && mayReadAlerts(groupId)
      ? [{ athleteId, name: name ?? '(name erased)', group: groupOf.get(groupId) ?? '', alerts: said }]
      : [],
  );
  await recordHealthRead(ctx, { subjectId: gymId, gymId }, alerts);
  const content = version && contents.get(version.versionId);
  return {
    gymId,
    gym: session.gym,
    zone: session.zone,
    sessionId,
    className: session.className,
    programme: session.programme,
    levels: session.levels.slice(0, 50),
    day: session.day,
    startsAt: instantOf(session.startsAt),
    endsAt: instantOf(session.endsAt),
    printedAt: instantOf(ctx.now),
    coach: of === null ? null : { personId: of, name: names.person(of) },
    plan: version
      ? {
          planId: version.planId,
          number: version.number,
          title: version.title,
          weekOf: version.weekOf,
          withdrawn: version.state === 'withdrawn',
        }
      : null,
    change: briefing && changeLine(briefing),
    focus: (content?.focus ?? []).map(({ apparatusId, skills, nextWeek }) => ({
      apparatus: library.names.apparatus(apparatusId),
      skills: skills.map(({ skillId, standing }) => ({ skillId, skill: library.names.skill(skillId), standing })),
      nextWeek,
    })),
    parts,
    alerts,
  };
}

/** Whose sheet it is: a coach has their own and nobody else's. */
function coachOf(ctx: Context, onlyOwn: boolean, personId: string | undefined): string | null {
  if (!onlyOwn) return personId ?? null;
  if (ctx.personId === null || (personId !== undefined && personId !== ctx.personId)) {
    throw refuse('not-found', 'There is no such sheet here that is yours.');
  }
  return ctx.personId;
}

/** What somebody does on a block: none, if they are not placed there. */
function dutiesOn({ staff, blocks }: Floor, blockId: string, personId: string): Place['duty'][] {
  const session = blocks.find(({ id }) => id === blockId)?.session;
  const places = staff.find(({ person }) => person === personId)?.at ?? [];
  return places
    .filter(({ unit }) => unit.id === blockId || (unit.per === 'session' && unit.id === session))
    .map(({ duty }) => duty);
}

const MOST_CHANGES = 3;

function changeLine({ note, differences, more }: Awaited<ReturnType<typeof brief>>): string | null {
  const changes = differences.slice(0, MOST_CHANGES).map(({ sentence: what }) => what);
  const left = differences.length - changes.length + more;
  const said = [...(note.trim() === '' ? [] : [note.trim()]), ...changes, ...(left > 0 ? [`And ${left} more.`] : [])];
  return said.length === 0 ? null : said.join(' ').slice(0, 2000);
}

interface Sources {
  here: GymFloor;
  names: Names;
  contents: ReadonlyMap<string, PlanContent>;
  adapted: readonly repo.AdaptedRow[];
  library: Library;
  lacking: Lacking;
  members: Awaited<ReturnType<typeof repo.selectMembers>>;
  of: string | null;
}

/** Groups that are taught the same thing stand together, each with its time; one that is taught otherwise stands apart. */
async function partsOf(rows: readonly repo.SheetBlock[], sources: Sources): Promise<SheetPart[]> {
  const parts = new Map<string, SheetPart>();
  for (const row of rows) {
    const planned = sources.contents.get(row.versionId)?.blocks.find(({ id }) => id === row.planBlockId);
    const block = sources.here.floor.blocks.find(({ id }) => id === row.blockId);
    if (!planned || !block) continue;
    // A large session has many blocks to judge: others are served in between.
    await setImmediate();
    const stations = planned.stations.map((station, index) => stationOf(planned, station, index, row, sources));
    const key = JSON.stringify([row.planBlockId, stations]);
    const known = parts.get(key);
    const turn = turnOf(row, block, stations, sources);
    if (known) known.turns.push(turn);
    else {
      const {
        id: planBlockId,
        title,
        activity,
        minutes,
        formation,
        importance,
        classRule,
        waterFirst,
        stationsRun,
      } = planned;
      const what = { planBlockId, title, activity, minutes, formation, importance, classRule, waterFirst, stationsRun };
      parts.set(key, { ...what, turns: [turn], stations });
    }
  }
  return [...parts.values()];
}

function stationOf(
  planned: PlanBlock,
  station: PlanBlock['stations'][number],
  index: number,
  row: repo.SheetBlock,
  { here, adapted, library, names }: Sources,
): SheetStation {
  const block = here.floor.blocks.find(({ id }) => id === row.blockId);
  const spotting = block?.stations.find(({ id }) => id.endsWith(station.id))?.spotting ?? { mode: 'none' as const };
  const its = adapted.filter(({ stationId, blockId }) => stationId === station.id && blockId === row.blockId);
  const { steps, pieces, adapted: told } = asTaught(station, its, library);
  const minutes = (row.endsAt.getTime() - row.startsAt.getTime()) / 60_000;
  const at = (turn: number) =>
    planned.stationsRun === 'in-turn'
      ? Math.floor((minutes * turn) / planned.stations.length)
      : turn === index
        ? 0
        : minutes;
  return {
    stationId: station.id,
    name: station.name,
    fromMinute: at(index),
    toMinute: Math.floor(at(index + 1)),
    apparatus: library.names.apparatus(station.apparatusId),
    items: station.items,
    setUp: { ...station.setUp, pieces, diagram: station.setUp.diagram ?? drawnFor(steps, library) },
    places: station.places,
    spotting:
      spotting.mode === 'none'
        ? { mode: 'none', by: null }
        : { mode: spotting.mode, by: names.kind(spotting.kind, spotting.grade) },
    steps,
    adapted: told,
  };
}

/** Where the plan has no drawing of a station: that of the first drill there that has one. */
const drawnFor = (steps: SheetStation['steps'], { drills }: Library) =>
  steps
    .flatMap((step) => step.drills.map(({ drillId }) => drills.get(drillId)?.diagram ?? null))
    .find((diagram) => diagram !== null) ?? null;

function turnOf(row: repo.SheetBlock, block: Block, stations: readonly SheetStation[], sources: Sources): SheetTurn {
  const { here, names, lacking, members, of } = sources;
  const near = narrowed(asIfConfirmed(here.floor, block.id), block.span);
  const segments = coverOf(near, { per: 'block', id: block.id });
  const lost = uncoveredBlocks(near).find((one) => one.block === block.id)?.findings ?? [];
  const spotters = new Map(
    segments.flatMap((segment) => segment.spotters).map((one) => [`${one.station} ${one.person}`, one]),
  );
  const unspotted = new Set(
    lost
      .filter(({ code }) => code === 'spotting')
      .flatMap(({ subjects }) => subjects.filter(({ what }) => what === 'station').map(({ id }) => id)),
  );
  const staff = here.floor.staff.flatMap(({ person, at }) =>
    at
      .filter(({ unit }) => unit.id === block.id || (unit.per === 'session' && unit.id === block.session))
      .map(({ duty }) => ({ personId: person, name: names.person(person), duty })),
  );
  const leaving = staff.filter(({ personId, duty }) => duty !== 'shadow' && (of === null || personId === of));
  const drillIds = stations.flatMap(({ steps }) => steps.flatMap(({ drills }) => drills.map(({ drillId }) => drillId)));
  return {
    blockId: block.id,
    groupId: row.groupId,
    group: row.group,
    startsAt: instantOf(row.startsAt),
    endsAt: instantOf(row.endsAt),
    areas: block.areas.map(names.area),
    athletes: members.filter(({ groupId }) => groupId === row.groupId).length,
    confirmed: block.confirmed,
    staff: staff.slice(0, 100),
    spotters: [...spotters.values()].map(({ station, person }) => ({
      personId: person,
      name: names.person(person),
      stationId: station.split('/').at(-1) ?? station,
      station: names.station(station),
    })),
    unspotted: [...unspotted].map(names.station),
    covered: lost.length === 0,
    why: [...new Set(lost.map((finding) => sentence(finding, names)))].slice(0, 20),
    standIns: leaving.map(({ personId, name }) => {
      const { outcome, people } = standIns(here.floor, block.id, personId);
      return { personId, name, outcome, by: people.map((id) => ({ personId: id, name: names.person(id) })) };
    }),
    notYetShown: lacking(row.groupId, drillIds),
  };
}
