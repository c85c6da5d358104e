import type { FileRow } from './file-row.ts';
import type { PlanRow } from './plan-file-schema.ts';
import {
  allColumns,
  type Column,
  cellOf,
  columnAt,
  columnsFor,
  type Layout,
  listIn,
  type Origins,
  readCells,
  readHead,
  recordsOf,
  tableText,
} from './table-file.ts';

// A plan is several lines of a table, one a step. Its lines say from left to right what they are in: the plan, a focus, the
// block, the station, and there one piece of the set-up and one step, which have nothing to do with each other. Where the
// cells of one of these are empty, the line is in what the lines above it began; where any is not, it begins another.

const LAYOUTS = {
  plan: {
    plain: [
      ['title', 'plan', 'line'],
      ['weekOf', 'week of', 'line'],
    ],
    groups: [['programmes', 'programme', [['', '', 'line']]]],
  },
  focus: {
    plain: [
      ['apparatus', 'focus on', 'line'],
      ['nextWeek', 'next week', 'line'],
    ],
    groups: [
      [
        'skills',
        'focus skill',
        [
          ['skill', 'name', 'line'],
          ['apparatus', 'apparatus', 'line'],
          ['standing', 'standing', 'line'],
        ],
      ],
    ],
  },
  block: {
    plain: [
      ['title', 'block', 'line'],
      ['activity', 'activity', 'line'],
      ['minutes', 'minutes', 'number'],
      ['formation', 'formation', 'line'],
      ['importance', 'importance', 'number'],
      ['classRule', 'class rule', 'text'],
      ['waterFirst', 'water first', 'yes-no'],
      ['stationsRun', 'stations run', 'line'],
    ],
    groups: [['apparatus', 'block apparatus', [['', '', 'line']]]],
  },
  station: {
    plain: [
      ['name', 'station', 'line'],
      ['apparatus', 'station on', 'line'],
      ['items', 'items', 'number'],
      ['setUp/words', 'set-up', 'text'],
      ['setUp/staysUp', 'stays up', 'yes-no'],
      ['places', 'places', 'number'],
    ],
    groups: [],
    last: [['setUp/diagram', 'diagram', 'json']],
  },
  piece: {
    plain: [
      ['apparatus', 'piece', 'line'],
      ['amount', 'piece amount', 'number'],
      ['job', 'piece job', 'line'],
      ['forMixedSizes', 'piece for mixed sizes', 'yes-no'],
    ],
    groups: [
      [
        'orInstead',
        'or instead',
        [
          ['apparatus', 'piece', 'line'],
          ['amount', 'amount', 'number'],
        ],
      ],
    ],
  },
  step: {
    plain: [
      ['chooseBy', 'choose by', 'line'],
      ['from/programme', 'from programme', 'line'],
      ['from/level', 'from level', 'line'],
      ['dose/amount', 'dose', 'number'],
      ['dose/unit', 'dose unit', 'line'],
      ['dose/sets', 'sets', 'number'],
      ['dose/eachSide', 'each side', 'yes-no'],
      ['dose/note', 'dose note', 'line'],
      ['weight', 'weight', 'line'],
    ],
    groups: [
      [
        'drills',
        'drill',
        [
          ['drill', 'name', 'line'],
          ['apparatus', 'apparatus', 'line'],
        ],
      ],
    ],
  },
} satisfies Record<string, Layout>;
type Part = keyof typeof LAYOUTS;
const PARTS = ['plan', 'focus', 'block', 'station', 'piece', 'step'] as const satisfies readonly Part[];

/** What begins on a line. */
type Line = Partial<Record<Part, object>>;

/** Plans as CSV. */
export function planCsvOf(plans: readonly PlanRow[]): string {
  const lines = plans.flatMap(linesOfPlan);
  const columns = PARTS.flatMap((part) =>
    columnsFor(
      LAYOUTS[part],
      lines.flatMap((line) => line[part] ?? []),
    ).map((column) => ({ part, column })),
  );
  return tableText([
    columns.map(({ column }) => column.column),
    ...lines.map((line) => columns.map(({ part, column }) => (line[part] ? cellOf(line[part], column) : ''))),
  ]);
}

function linesOfPlan(plan: PlanRow): Line[] {
  const lines = [
    ...beside([['focus', plan.focus]]),
    ...plan.blocks.flatMap((block) =>
      heading(
        'block',
        block,
        block.stations.flatMap((station) =>
          heading(
            'station',
            station,
            beside([
              ['piece', station.setUp.pieces],
              ['step', station.steps],
            ]),
          ),
        ),
      ),
    ),
  ];
  return heading('plan', plan, lines);
}

/** Those lines, of which the first begins that too. */
const heading = (part: Part, value: object, [first = {}, ...others]: Line[]): Line[] => [
  { [part]: value, ...first },
  ...others,
];

/** Lists side by side: of each, one a line. */
const beside = (lists: [part: Part, list: readonly object[]][]): Line[] =>
  Array.from({ length: Math.max(...lists.map(([, list]) => list.length)) }, (_, at) =>
    Object.fromEntries(lists.flatMap(([part, list]) => (list[at] ? [[part, list[at]]] : []))),
  );

/** Something that a line of the file began. */
interface Begun {
  part: Part;
  value: Record<string, unknown>;
  pointer: string;
  line: number;
  origins: Origins;
}

/** @throws UnreadableFile where it is no CSV, or its first line does not name the columns. */
export function planRowsOfCsv(text: string): FileRow[] {
  const [head, ...records] = recordsOf(text);
  const known = PARTS.flatMap((part) => allColumns(LAYOUTS[part]).map((of) => ({ part, of, column: of.column })));
  const columns = readHead(head?.record ?? [], known);
  const plans: Begun[][] = [];
  for (const { record, line } of records) {
    for (const part of PARTS) {
      const cells = columns.flatMap((one, at) =>
        one.part === part && record[at] !== undefined ? [{ column: one.of, cell: record[at] }] : [],
      );
      if (part === 'plan' ? says(cells) || plans.length === 0 : says(cells)) begin(plans, part, cells, line);
    }
    for (const [at, cell] of record.entries()) {
      if (at >= columns.length && cell !== '')
        Object.assign(plans.at(-1)?.[0]?.value ?? {}, { [`column ${at + 1}`]: cell });
    }
  }
  return plans.map((begun, at) => ({
    row: at + 1,
    value: begun[0]?.value,
    placeOf: (pointer) => placeIn(begun, pointer),
  }));
}

const says = (cells: readonly { cell: string }[]) => cells.some(({ cell }) => cell !== '');

/** In what each part stands, and in which of its lists. */
const WITHIN: Record<Exclude<Part, 'plan'>, [part: Part, list: string]> = {
  focus: ['plan', 'focus'],
  block: ['plan', 'blocks'],
  station: ['block', 'stations'],
  piece: ['station', 'setUp/pieces'],
  step: ['station', 'steps'],
};

function begin(plans: Begun[][], part: Part, cells: readonly { column: Column; cell: string }[], line: number): Begun {
  const { value, origins } = readCells(cells);
  if (part === 'plan') {
    const plan = { part, value, pointer: '', line, origins };
    plans.push([plan]);
    return plan;
  }
  const [outer, list] = WITHIN[part];
  const begun = plans.at(-1) ?? [];
  // A station without its block, and so on: what is missing is begun with nothing in it, and reported as that.
  const into = lastOf(begun, outer) ?? begin(plans, outer, [], line);
  const entries = listAt(into.value, list);
  entries.push(value);
  const one = { part, value, pointer: `${into.pointer}/${list}/${entries.length - 1}`, line, origins };
  begun.push(one);
  return one;
}

/** The last of that part which is still open: a new block closes the stations of the one before it. */
function lastOf(begun: readonly Begun[], part: Part): Begun | undefined {
  const last = begun.findLast((one) => one.part === part);
  if (part !== 'station') return last;
  const block = begun.findLast((one) => one.part === 'block');
  return last && block && last.pointer.startsWith(`${block.pointer}/`) ? last : undefined;
}

function listAt(value: Record<string, unknown>, path: string): unknown[] {
  const [outer = '', inner] = path.split('/');
  if (inner === undefined) return listIn(value, outer);
  const known = value[outer];
  const inside: Record<string, unknown> = typeof known === 'object' && known !== null ? { ...known } : {};
  value[outer] = inside;
  return listIn(inside, inner);
}

function placeIn(begun: readonly Begun[], pointer: string): { line: number; column: string } {
  const around = begun.filter((one) => pointer === one.pointer || pointer.startsWith(`${one.pointer}/`));
  const nearest = around.toSorted((a, b) => b.pointer.length - a.pointer.length)[0];
  if (!nearest) return { line: 1, column: pointer };
  const rest = pointer.slice(nearest.pointer.length);
  return { line: nearest.line, column: rest === '' ? '' : columnAt(LAYOUTS[nearest.part], rest, nearest.origins) };
}
