import { isCloser } from '../../cover/index.ts';
import type { PlanStation } from '../curriculum/plan-content-schema.ts';
import { doseInWords, listed, type Names } from '../curriculum/plan-words.ts';
import type { Step } from '../curriculum/progression-graph.ts';
import type { Drill } from '../curriculum/schema.ts';
import { drillsOf, replacedBy } from './other-drill.ts';
import type { AdaptedRow } from './sheet-repo.ts';
import type { SheetStation, SheetStep } from './sheet-schema.ts';

export interface Library {
  drills: ReadonlyMap<string, Drill>;
  progressions: readonly Step[];
  names: Names;
}

type Taught = Pick<SheetStation, 'steps' | 'adapted'> & { pieces: SheetStation['setUp']['pieces'] };

/** A station as it is taught: its plan's steps and pieces, with what is done otherwise put in its place and told. */
export function asTaught(station: PlanStation, adapted: readonly AdaptedRow[], library: Library): Taught {
  const dropped = new Set(adapted.flatMap(({ kind, step }) => (kind === 'drop-step' && step !== null ? [step] : [])));
  const instead = adapted.find(({ kind }) => kind === 'drill');
  const other = instead?.drillId ?? null;
  const planned = drillsOf(station);
  const judged = other === null ? null : replacedBy(library.progressions, other, planned);
  // Progressions may have changed since: a drill that no longer hangs together with the plan's stands for all of them,
  // and in any case for those that are spotted more closely than cover now asks at that station.
  const hangsTogether = judged?.replaced ?? new Set(other === null ? [] : planned);
  const isSpottedMore = (id: string) =>
    other !== null && isCloser(library.drills.get(id)?.spotting.mode ?? 'none', instead?.spots ?? 'none');
  const replaced = new Set(planned.filter((id) => hangsTogether.has(id) || isSpottedMore(id)));

  const steps = station.steps.flatMap((step, index): SheetStep[] => {
    if (dropped.has(index + 1)) return [];
    const kept = step.drillIds.filter((id) => !replaced.has(id));
    const gone = step.drillIds.filter((id) => replaced.has(id));
    const ids = other === null || gone.length === 0 ? kept : [other, ...kept.filter((id) => id !== other)];
    const drills = ids.flatMap((id) => {
      const drill = library.drills.get(id);
      return drill ? [drillOnSheet(drill, id === other ? gone.map(library.names.drill) : [])] : [];
    });
    if (drills.length === 0) return [];
    return [
      {
        drills,
        chooseBy: drills.length > 1 ? step.chooseBy : null,
        fromLevel: step.fromLevelId === null ? null : library.names.level(step.fromLevelId),
        dose: doseInWords(step.dose),
        weight: step.weight,
      },
    ];
  });
  return {
    steps,
    pieces: piecesOf(station, adapted, library.names),
    adapted: adapted.map((row) => ({ what: whatInWords(row, station, library), reason: row.reason, by: row.by })),
  };
}

const drillOnSheet = (drill: Drill, insteadOf: string[]): SheetStep['drills'][number] => ({
  drillId: drill.id,
  name: drill.name,
  height: drill.height,
  sayFirst: drill.sayFirst,
  ifItGoesWrong: drill.ifItGoesWrong,
  lookFors: drill.lookFors,
  spotting: drill.spotting.mode,
  insteadOf,
});

function piecesOf(station: PlanStation, adapted: readonly AdaptedRow[], names: Names): Taught['pieces'] {
  const called = ({ apparatusId, amount }: { apparatusId: string; amount: number }) =>
    `${amount} × ${names.apparatus(apparatusId)}`;
  return station.setUp.pieces.map((piece, index) => {
    const choice = adapted.find((row) => row.kind === 'set-up' && row.piece === index + 1)?.choice ?? null;
    const instead = choice === null ? undefined : piece.orInstead[choice - 1];
    const used = instead ?? piece;
    return {
      apparatus: names.apparatus(used.apparatusId),
      amount: used.amount,
      job: piece.job,
      forMixedSizes: piece.forMixedSizes,
      orInstead: [...(instead ? [piece] : []), ...piece.orInstead.filter((one) => one !== instead)]
        .map(called)
        .slice(0, 4),
      insteadOf: instead ? called(piece) : null,
    };
  });
}

function whatInWords({ kind, drillId, step, piece }: AdaptedRow, station: PlanStation, { names, drills }: Library) {
  if (kind === 'drill') return `Do ${drills.get(drillId ?? '')?.name ?? 'another drill'} here.`;
  if (kind === 'set-up') {
    const planned = station.setUp.pieces[(piece ?? 0) - 1];
    return planned ? `Something else instead of ${names.apparatus(planned.apparatusId)}.` : 'Another set-up.';
  }
  const left = station.steps[(step ?? 0) - 1];
  return `Leave out ${left ? listed(left.drillIds.map(names.drill), 'or') : 'a step'}.`;
}
