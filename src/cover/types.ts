/**
 * The vocabulary of the cover engine: what goes in (a gym's floor over a span) and what comes out (cover, findings).
 * Plain values throughout: ids are opaque strings, moments are epoch milliseconds, days are ISO dates in the gym's zone,
 * ratios and shares are exact fractions. Spans are half-open.
 */
export type Id = string;
export type Fraction = { readonly n: bigint; readonly d: bigint }; // exact, lowest terms, d > 0; on the wire "3/2"
export type Day = string; // ISO date in the gym's zone
export type Days = { from: Day; to: Day | null }; // half-open: `to` is the first day that is out
export type Span = { from: number; to: number }; // epoch ms, half-open
export type Unit = { per: 'block' | 'session' | 'premises'; id: Id };
export type Duty = 'lead' | 'assist' | 'shadow' | 'oversee';
export type Place = { unit: Unit; duty: Duty; span: Span }; // at a session only `oversee`; a floater's duty is the one they came for
export type Edge = { months: number } | { firstOn: { month: number; day: number }; afterBirthday: number }; // strictly after it
export type Test =
  // anyone = { test: 'all', of: [] }
  | { test: 'age'; atLeastYears: number }
  | { test: 'older-than-athletes'; byYears: number }
  | { test: 'holds'; kind: Id; grade: number } // screening, volunteer, teacher too; valid for the whole block
  | { test: 'duty'; in: Duty[] }
  | { test: 'not-taking-part' }
  | { test: 'no-own-child-here' }
  | { test: 'supervised'; by: Test }
  | { test: 'all' | 'any'; of: Test[] };
export type Limit = { upToGroup: number | null; athletesPerCoach: Fraction; when: Test | null }; // > 0; the first row that fits
export type Band = {
  id: Id;
  from: Edge | null;
  to: Edge | null; // completed months; null = open; listed youngest first
  category: string | null;
  trait: string | null; // set by enrolment; accompanied, special needs
  countBy: 'athlete' | 'family';
  limits: Limit[]; // no rows at all: the rule asks nothing for them
  largestGroup: number | null; // of the whole group, as soon as one of the band is in it
  mixes: 'in' | 'rules' | 'apart';
}; // apart: a load of its own, added
export type Mixed =
  | { method: 'youngest' | 'majority' | 'each-band' | 'proportional' | 'fill' }
  | { method: 'composition'; rows: { ifBand: Id; atLeast: { count: number } | { share: Fraction }; use: Id }[] };
export type Cap = { max: number; of: 'group' | 'apparatus' | 'equipment-item' | 'area'; bands: Id[] | null }; // counts those bands only
export type Scope = Partial<Record<'programme' | 'level' | 'apparatus' | 'activity' | 'area', Id[]>>; // absent = any
export type Rule = {
  id: Id;
  version: number;
  owner: 'franchise' | 'gym'; // a published standard = the rules that name it
  source: { standard: Id; edition: string; silentOn: string[] } | null; // silentOn: our choice, not theirs
  strength: 'refuse' | 'warn';
  overridable: boolean;
  inForce: Days;
  scope: Scope;
  except: Scope | null;
  per: Unit['per'];
  agesOf: 'present' | 'enrolled';
  bands: Band[];
  mixed: Mixed;
  plus: number; // no bands = no ratio
  floors: { fromAthletes: number; toAthletes: number | null; posts: { people: number; who: Test }[] }[]; // heads, never shares
  caps: Cap[];
  counts: { who: Test; share: Fraction; maxOf: { share: Fraction; base: 'required' | 'counted' } | null }[]; // first match, else 0
  whileSpotting: 'counts' | { upTo: number } | 'does-not-count'; // athletes
  supervision: { supervisor: Test; anyOf: { who: Test; max: number }[][] }[];
  staffBelowYearsAreAthletes: number | null;
};
export type Athlete = {
  person: Id;
  born: Day | null;
  family: Id | null;
  traits: { trait: string; spans: Span[] | null }[]; // accompanied: while that adult is here; null = always
  countsAs: Fraction;
  support: { anyOf: Id[] } | null; // one-to-one helpers; [] = nobody named yet
  // a block, or the premises (not collected yet, category null): the category is that of the class whose place it is
  at: { unit: Unit; span: Span; category: string | null }[];
  enrolled: { block: Id; category: string | null }[]; // there or not; the category counts where they are at no place in view
};
export type Sign = 'watched' | 'helped' | 'alone';
export type Staff = {
  person: Id;
  born: Day;
  takingPart: Span[];
  ownChildren: Id[];
  employed: Days[];
  elsewhere: Span[]; // elsewhere: other gyms, travel included
  absent: Span[]; // away, on record: nothing may be given to them then (admissible: why 'absent')
  at: Place[]; // planned: assignments; live: cut by check-ins and breaks
  holds: ({ kind: Id; grade: number } & Days)[];
  signedOff: ({ skill: Id; level: Sign } & Days)[];
};
export type Spotting =
  | { mode: 'none' }
  | { mode: 'stand-by' | 'hands-on'; kind: Id; grade: number; skills: { skill: Id; level: Sign }[] };
export type Station = {
  id: Id;
  apparatus: Id;
  items: number;
  span: Span;
  spotting: Spotting; // in turn = disjoint spans
  easier: { drill: Id; spotting: Spotting }[];
}; // down the progression, nearest first
export type Block = {
  id: Id;
  session: Id;
  group: Id;
  areas: Id[];
  span: Span;
  programmes: Id[];
  levels: Id[];
  activity: Id;
  stations: Station[];
  confirmed: boolean; // confirmed, or being confirmed: the rules per session and per premises see only these
  planWithdrawn: boolean;
};
export type Code = 'short' | 'floor' | 'cap' | 'no-band' | 'spotting' | 'supervision' | 'support' | 'plan-withdrawn';
export type Override = { id: Id; unit: Unit; span: Span; code: Code; rule: Id | null; subjects: Id[]; short: Fraction };
/** A gym over a span. Bands, floors and caps count whole people; `toAthletes` is the last number that is still in. */
export type Floor = {
  gym: Id;
  zone: string;
  leapDay: '03-01' | '02-28';
  over: Span;
  blocks: Block[];
  athletes: Athlete[];
  staff: Staff[];
  rules: Rule[];
  overrides: Override[];
  duties: { duty: Duty; who: Test }[];
}; // who may do what: admissible() only
export type Why = Test | 'spotting' | 'max-of' | 'helper' | 'no-supervisor-free';
export type Count = {
  rule: Id;
  version: number;
  load: Fraction;
  needed: number;
  counted: Fraction;
  band: Id | null;
  people: { person: Id; share: Fraction; why: Why | null }[];
  met: boolean;
}; // why not the whole share
export type Subject = { what: 'athlete' | 'staff' | 'station' | 'block' | 'area'; id: Id };
export type Finding = {
  code: Code;
  unit: Unit;
  span: Span;
  rule: Id | null;
  strength: 'refuse' | 'warn';
  short: Fraction;
  // most: what a cap allows, or athletes per coach under the governing band; youngest: completed months, where all are known
  numbers: Partial<Record<'load' | 'counted' | 'needed' | 'heads' | 'most' | 'youngest', Fraction>>;
  count: Count | null;
  failed: Test | null; // floor: what nobody left over passes; supervision: what a supervisor has to pass
  subjects: Subject[]; // sorted; for spotting, the deficient set
  override: Id | null;
};
/**
 * Who spots, and who helps one-to-one, is chosen among the largest matchings: fewest failing `refuse` rules, then least
 * shortfall, then by ids; who supervises whom, so that most trainees have a place. Each search ends after a fixed number of
 * steps (`MOST_STEPS`, `MOST_CHOICES`), counted, never timed, so that the same floor always gets the same answer: the best
 * arrangement tried so far. What that gives up is the promise that no better one is left, in halls beyond what those bounds
 * hold. It errs on the strict side: what is told is always an arrangement that can be had, so that nothing is called covered
 * that is not, while a shortfall (or, among many one-to-one helpers, a missing spotter) may be told that another would avoid.
 */
export type Cover = {
  unit: Unit;
  span: Span;
  covered: boolean; // the unit's own; whether a block is, with its session and the premises, `uncoveredBlocks` says
  counts: Count[];
  binding: Id | null;
  spotters: { station: Id; person: Id }[];
  supervised: { rule: Id; trainee: Id; supervisor: Id | null }[]; // null: nobody in sight has room for them
  youngStaff: { rule: Id; person: Id }[]; // on the staff, and to be looked after as an athlete under that rule
  findings: Finding[];
};
export type CoverTimeline = (floor: Floor) => Cover[]; // constant segments; a moment is one
export type Refusal = {
  why: 'two-places' | 'absent' | 'not-employed' | 'not-qualified' | 'under-age';
  span: Span;
  failed: Test | null;
};
export type Admissible = (floor: Floor, person: Id, place: Place) => Refusal[];
export type Headroom = (floor: Floor, block: Id, like: Athlete) => { more: number; binding: Id | null };
export type Fragility = (floor: Floor) => { person: Id; uncovers: Unit[] }[];
export type Change =
  | { move: Id; to: Place }
  | { swap: [Id, Id]; span: Span }
  | { merge: [Id, Id] }
  | { station: Id; stepTo: Id }
  | { block: Id; admitAtMost: number };
export type Remedies = (floor: Floor, finding: Finding) => Change[]; // best first, each verified
/** A change that doesn't clear a finding, and the largest finding of its kind that it leaves: `still.short` is what is missing yet. */
export type FirstStep = { change: Change; still: Finding };
export type FirstSteps = (floor: Floor, finding: Finding) => FirstStep[]; // least left first, each verified
