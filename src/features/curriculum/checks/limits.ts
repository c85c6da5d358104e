/** From the one to the other, both included. */
export interface Range {
  from: number;
  to: number;
}

/** What is usual from an age on, until the next band's. */
export interface AgeBand {
  fromAge: number;
  blockMinutes: Range;
  changeoverMinutes: Range;
  holdSeconds: Range;
}

/** What plans are measured by: a franchise's own settings. None of it is safety, so that none of it refuses. */
export interface Limits {
  /** Youngest first. */
  ages: AgeBand[];
  /** Warm-up, stretches before the first apparatus included, of a class of an hour; of a longer one in proportion. */
  warmUpMinutesAnHour: Range;
  pulseRaiserMinutes: Range;
  mostWaiting: number;
  handsOnStationsACoach: number;
  waterEveryMinutes: number;
  newPercent: Range;
  testEveryWeeks: Range;
  /** On so many days a skill is shown before an athlete moves up. */
  moveUpDays: Range;
}

/** What holds until a franchise says otherwise. Each number: common practice, no source. */
export const DEFAULT_LIMITS: Limits = {
  ages: [
    {
      fromAge: 3,
      blockMinutes: { from: 8, to: 10 },
      changeoverMinutes: { from: 2, to: 3 },
      holdSeconds: { from: 5, to: 10 },
    },
    {
      fromAge: 5,
      blockMinutes: { from: 10, to: 15 },
      changeoverMinutes: { from: 1, to: 2 },
      holdSeconds: { from: 10, to: 30 },
    },
    {
      fromAge: 7,
      blockMinutes: { from: 15, to: 20 },
      changeoverMinutes: { from: 1, to: 2 },
      holdSeconds: { from: 10, to: 30 },
    },
  ],
  warmUpMinutesAnHour: { from: 8, to: 10 },
  pulseRaiserMinutes: { from: 3, to: 5 },
  mostWaiting: 3,
  handsOnStationsACoach: 1,
  waterEveryMinutes: 60,
  // "About a quarter": ten in a hundred to either side.
  newPercent: { from: 15, to: 35 },
  testEveryWeeks: { from: 8, to: 12 },
  moveUpDays: { from: 2, to: 3 },
};

/** The band of an age in years: the last that has begun, and the first for whoever is younger than all. */
export function bandAt({ ages }: Limits, years: number): AgeBand {
  const band = ages.findLast(({ fromAge }) => fromAge <= years) ?? ages[0];
  if (!band) throw new RangeError('limits have a band of ages');
  return band;
}
