import { wordsPage } from './sheet-page.ts';
import { afterNextWeek, type Box, clockOf, dayInWords, line, type Words } from './sheet-words.ts';
import type { WeekSheet } from './week-schema.ts';

type Plan = WeekSheet['plans'][number];

/** The week as a page that prints on one side: what is taught in which classes, and the line for desk and parents. */
export const weekPage = (week: WeekSheet): string =>
  wordsPage(`Week · ${week.gym} · ${week.weekOf}`, () => wordsOfWeek(week));

function wordsOfWeek(week: WeekSheet): Words {
  const { gym, weekOf, plans, notLaidOut, leftOut, lines, printedAt, zone } = week;
  const clock = clockOf(weekOf, zone);
  const whenOf = ({ className, day, startsAt }: WeekSheet['notLaidOut'][number]) =>
    `${dayInWords(day).split(' ')[0]} ${clock.time(startsAt)} ${className}`;
  return {
    title: `The week at ${gym}`,
    when: `From ${clock.day}`,
    about: [`${plans.length} ${plans.length === 1 ? 'plan' : 'plans'}`, `Printed ${clock.time(printedAt)}`],
    loud: [
      ...(notLaidOut.length === 0 ? [] : [line('Not laid out', notLaidOut.map(whenOf).join('; '), true)]),
      ...(leftOut === 0 ? [] : [line('Not on this page', `${leftOut} more class(es).`, true)]),
      ...lines.map(({ line: said }) => line('For desk and parents', said)),
    ],
    boxes: plans.flatMap((plan) => [
      {
        kind: 'part' as const,
        title: `${plan.programme}: ${plan.title}, version ${plan.number}`,
        lines: [line('Classes', plan.meetings.map(whenOf).join('; '))],
        drawing: null,
      },
      ...focusBoxes(plan),
      ...plan.blocks.map(blockBox),
    ]),
    leftOut: null,
  };
}

const focusBoxes = ({ focus }: Plan): Box[] =>
  focus.map(({ apparatus, skills, nextWeek }) => ({
    kind: 'station',
    title: `Focus, ${apparatus}`,
    lines: [
      ...(skills.length === 0
        ? []
        : [line(null, skills.map(({ skill, standing }) => `${skill} (${standing})`).join(', '))]),
      ...(nextWeek === null ? [] : [line('Next week', afterNextWeek(nextWeek))]),
    ],
    drawing: null,
  }));

const blockBox = ({ title, minutes, apparatus, stations }: Plan['blocks'][number]): Box => ({
  kind: 'station',
  title: `${title}, ${minutes} min`,
  lines: [
    ...(apparatus.length === 0 ? [] : [line('On', apparatus.join(', '))]),
    ...(stations.length === 0 ? [] : [line('Stations', stations.join(', '))]),
  ],
  drawing: null,
});
