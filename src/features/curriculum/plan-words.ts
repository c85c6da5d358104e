import type { Dose, PlanBlock, PlanContent, PlanStation, PlanStep } from './plan-content-schema.ts';

// A plan's parts in plain words.

/** What the ids in a plan are called. */
export interface Names {
  apparatus(id: string): string;
  skill(id: string): string;
  drill(id: string): string;
  level(id: string): string;
  kind(id: string): string;
}

const LONGEST = 200;

/** In quotation marks, cut short where it is long; "nothing" where it is blank. */
export const quoted = (text: string | null): string => {
  const said = (text ?? '').trim();
  if (said === '') return 'nothing';
  const characters = [...said];
  return characters.length > LONGEST ? `“${characters.slice(0, LONGEST).join('')}…”` : `“${said}”`;
};

/** "a", "a and b", "a, b and c"; nothing at all is "nothing". */
export function listed(all: readonly string[], word = 'and'): string {
  const last = all.at(-1);
  if (last === undefined) return 'nothing';
  return all.length === 1 ? last : `${all.slice(0, -1).join(', ')} ${word} ${last}`;
}

const PLACES = ['first', 'second', 'third', 'fourth', 'fifth', 'sixth', 'seventh', 'eighth', 'ninth', 'tenth'];
/** The place in a list, counted from 0: "first". */
export const placeInWords = (at: number): string => PLACES[at] ?? `no. ${at + 1}`;

const counted = (amount: number, unit: string) => `${amount} ${amount === 1 ? unit.replace(/s$/, '') : unit}`;

/** "“The wedge”, with 3 pieces, 1 arrow and 2 people"; none at all is "nothing". */
export function diagramInWords(diagram: PlanStation['setUp']['diagram']): string {
  if (diagram === null) return 'nothing';
  const { title, pieces, arrows, people } = diagram;
  const persons = people.length === 1 ? '1 person' : `${people.length} people`;
  return `${quoted(title)}, with ${listed([counted(pieces.length, 'pieces'), counted(arrows.length, 'arrows'), persons])}`;
}

/** "2 sets of 20 seconds each side (toes pointed)". */
export function doseInWords({ amount, unit, sets, eachSide, note }: Dose): string {
  const much = amount === null || unit === null ? note : counted(amount, unit);
  const more = amount === null || note === null ? '' : ` (${note})`;
  return `${sets > 1 ? `${sets} sets of ` : ''}${much ?? ''}${eachSide ? ' each side' : ''}${more}`;
}

/** "Long hang", or "one of Long hang or Tuck hang, chosen by grip". */
export const drillsInWords = ({ drillIds, chooseBy }: PlanStep, names: Names): string =>
  drillIds.length === 1
    ? drillIds.map(names.drill).join()
    : `one of ${listed(drillIds.map(names.drill), 'or')}, chosen by ${quoted(chooseBy)}`;

type Piece = PlanStation['setUp']['pieces'][number];
const ofKind = (names: Names) => (one: { apparatusId: string; amount: number }) =>
  `${one.amount} × ${names.apparatus(one.apparatusId)}`;

/** "2 × Thick mat for landing, or instead 4 × Thin mat". */
export const pieceInWords = (piece: Piece, names: Names): string =>
  [
    `${ofKind(names)(piece)} ${jobInWords(piece)}`,
    ...piece.orInstead.map((one) => `or instead ${ofKind(names)(one)}`),
  ].join(', ');

const JOBS: Record<Piece['job'], string> = {
  landing: 'for landing',
  raise: 'as a raise',
  slope: 'as a slope',
  target: 'as a target',
  'keep-off': 'to keep off',
  'keep-back': 'to keep back',
};
/** "as a raise for mixed sizes". */
export const jobInWords = ({ job, forMixedSizes }: Piece): string =>
  `${JOBS[job]}${forMixedSizes ? ' for mixed sizes' : ''}`;

export const insteadInWords = ({ orInstead }: Piece, names: Names): string =>
  listed(orInstead.map(ofKind(names)), 'or');

/** "Cast (new) and Long hang (returning)". */
export const focusInWords = ({ skills }: PlanContent['focus'][number], names: Names): string =>
  listed(skills.map(({ skillId, standing }) => `${names.skill(skillId)} (${standing})`));

/** "hands-on: Spotting, grade 2 or higher; signed off on Handspring (alone)". */
export function spottingInWords(spotting: PlanStation['spotting'], names: Names): string {
  if (spotting === null) return 'not fixed yet';
  if (spotting.mode === 'none') return 'nobody';
  const { mode, kindId, grade, skills } = spotting;
  const signed = skills.map(({ skillId, level }) => `${names.skill(skillId)} (${level})`);
  const needed = signed.length === 0 ? '' : `, signed off on ${listed(signed)}`;
  return `${mode}, ${names.kind(kindId)} of grade ${grade} or higher${needed}`;
}

export const apparatusInWords = ({ apparatusIds }: Pick<PlanBlock, 'apparatusIds'>, names: Names): string =>
  listed(apparatusIds.map(names.apparatus));
