import type { PlanContent } from '../plan-content-schema.ts';
import type { Drill } from '../schema.ts';
import type { Term } from '../term-schema.ts';
import { atLeast, counted, exact, type Finding, isWithin, rangeWords, SETTING, stationsIn, within } from './finding.ts';
import type { Limits } from './limits.ts';

type NameOf = (skillId: string) => string;

/** The skills that the drills of a version teach. */
export const taughtBy = (blocks: PlanContent['blocks'], drills: ReadonlyMap<string, Drill>): Set<string> =>
  new Set(
    stationsIn(blocks).flatMap(({ station }) =>
      station.steps.flatMap(({ drillIds }) =>
        drillIds.flatMap((id) => drills.get(id)?.skills.map(({ skillId }) => skillId) ?? []),
      ),
    ),
  );

/** Is every skill of the focus taught by some drill of the plan, and about a quarter of them new? */
export function checkFocus(
  { focus }: PlanContent,
  taught: ReadonlySet<string>,
  { newPercent }: Limits,
  nameOf: NameOf,
): Finding[] {
  const missing = focus.flatMap(({ skills }, i) =>
    skills.flatMap(({ skillId }, k) =>
      taught.has(skillId)
        ? []
        : [notTaught(`/focus/${i}/skills/${k}`, [nameOf(skillId)], `“${nameOf(skillId)}” is in the focus`)],
    ),
  );
  const standings = focus.flatMap(({ skills }) => skills.map(({ standing }) => standing));
  return [...missing, ...newShare(standings, newPercent, '/focus', 'the focus')];
}

function notTaught(pointer: string, names: string[], planned: string): Finding {
  return {
    check: 'coverage',
    about: 'taught',
    severity: 'warn',
    where: [{ pointer, names }],
    number: exact(0),
    limit: atLeast(1),
    unit: 'drills',
    limitFrom: 'plan',
    source: 'The skills that the lead planned, against those that the plan’s drills teach.',
    classes: [],
    sentence: `${planned}, and no drill of the plan teaches it.`,
  };
}

function newShare(standings: readonly string[], usual: Limits['newPercent'], pointer: string, of: string): Finding[] {
  if (standings.length === 0) return [];
  const percent = Math.round((100 * standings.filter((standing) => standing === 'new').length) / standings.length);
  if (isWithin(usual, percent)) return [];
  return [
    {
      check: 'coverage',
      about: 'new-share',
      severity: 'warn',
      where: [{ pointer, names: [] }],
      number: exact(percent),
      limit: within(usual),
      unit: 'percent',
      limitFrom: 'setting',
      source: SETTING,
      classes: [],
      sentence: `${percent} % of the skills of ${of} are new; ${rangeWords(usual)} % are usual.`,
    },
  ];
}

/**
 * A term: is each week's skill taught by the plan that hangs from it, is about a quarter of all new, and is there a test
 * as often as is usual? `taught` gives what a plan's newest version teaches; weeks without a plan are not asked.
 */
export function checkTerm(
  { title, weeks }: Pick<Term, 'title' | 'weeks'>,
  taught: ReadonlyMap<string, ReadonlySet<string>>,
  limits: Limits,
  nameOf: NameOf,
): Finding[] {
  const missing = weeks.flatMap(({ planId, skills }, w) => {
    const teaches = planId === null ? undefined : taught.get(planId);
    if (!teaches) return [];
    return skills.flatMap(({ skillId, standing }, k) => {
      if (teaches.has(skillId)) return [];
      const planned = `“${nameOf(skillId)}” is planned (${standing}) for week ${w + 1} of “${title}”`;
      return [notTaught(`/weeks/${w}/skills/${k}`, [title, nameOf(skillId)], planned)];
    });
  });
  const standings = weeks.flatMap(({ skills }) => skills.map(({ standing }) => standing));
  return [
    ...missing,
    ...newShare(standings, limits.newPercent, '/weeks', `“${title}”`),
    ...testIntervals({ title, weeks }, limits),
  ];
}

/** From the term's beginning to the first test, from test to test, and to its end, which may come before one is due. */
function testIntervals({ title, weeks }: Pick<Term, 'title' | 'weeks'>, { testEveryWeeks: usual }: Limits): Finding[] {
  const tests = weeks.flatMap(({ skills }, w) => (skills.some(({ standing }) => standing === 'test') ? [w + 1] : []));
  const ends = [0, ...tests, weeks.length];
  return ends.slice(1).flatMap((week, i): Finding[] => {
    const from = ends[i] ?? 0;
    const gap = week - from;
    const isBetween = i > 0 && i < tests.length;
    if (gap <= usual.to && (!isBetween || gap >= usual.from)) return [];
    return [
      {
        check: 'coverage',
        about: 'test-interval',
        severity: 'warn',
        where: [{ pointer: `/weeks/${week - 1}`, names: [title] }],
        number: exact(gap),
        limit: within(usual),
        unit: 'weeks',
        limitFrom: 'setting',
        source: SETTING,
        classes: [],
        sentence: `${counted(gap, 'week')} of “${title}” ${isBetween ? 'between two tests' : 'without a test'}, up to week ${week}; one every ${rangeWords(usual)} weeks is usual.`,
      },
    ];
  });
}
