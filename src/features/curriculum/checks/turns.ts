import { compare, type Fraction, floorOf, fraction, minus, ONE, ZERO } from '../../../cover/index.ts';

/** Children who share places to take turns at. */
export interface Turns {
  athletes: number;
  /** How many can be on their turn at once; more than there are children is as good as one each. */
  places: number;
  /** A turn, with the way back. */
  secondsATurn: number;
  /** What is left of the block once it is set up. */
  seconds: number;
}

export interface Waiting {
  /** Whole turns that each child gets. */
  turnsEach: number;
  /** The share of the time in which a child waits: 0 is nobody, below 1. */
  share: Fraction;
  /** From the end of one's turn to the next. */
  seconds: Fraction;
}

/**
 * Turns and waiting at one station: n athletes at p places, s seconds a turn, D seconds; turns each ⌊D·p / (n·s)⌋,
 * waiting share 1 − p/n, waiting (n/p − 1)·s. With a place for everybody nobody waits, and nobody's turn comes sooner
 * for a place that is empty.
 *
 * @throws RangeError unless all are whole and above zero (`seconds` may be zero).
 */
export function turnsAt({ athletes, places, secondsATurn, seconds }: Turns): Waiting {
  for (const value of [athletes, places, secondsATurn]) {
    if (!Number.isSafeInteger(value) || value < 1) throw new RangeError(`${value} is not a whole number above zero`);
  }
  if (!Number.isSafeInteger(seconds) || seconds < 0) throw new RangeError(`${seconds} is not a whole number`);
  const used = Math.min(places, athletes);
  return {
    turnsEach: Number(floorOf(fraction(BigInt(seconds) * BigInt(used), BigInt(athletes) * BigInt(secondsATurn)))),
    share: minus(ONE, fraction(used, athletes)),
    seconds: fraction((athletes - used) * secondsATurn, used),
  };
}

/** A station of a circuit. */
export interface Leg {
  places: number;
  secondsATurn: number;
}

/**
 * Turns and waiting in a circuit, where everybody passes every station: it goes round at the pace of the slowest. A
 * round takes as long as all need at that station, or as one child needs for the whole way where there is room for all.
 * With one station it is `turnsAt`.
 *
 * @returns rounds each child gets, the share of the time waited, and the seconds waited in one round
 * @throws RangeError without a station, or as `turnsAt`.
 */
export function turnsInCircuit(athletes: number, legs: readonly Leg[], seconds: number): Waiting {
  if (legs.length === 0) throw new RangeError('a circuit needs a station');
  for (const leg of legs) turnsAt({ athletes, ...leg, seconds });
  const moving = fraction(legs.reduce((total, { secondsATurn }) => total + secondsATurn, 0));
  let round = moving;
  for (const { places, secondsATurn } of legs) {
    const pace = fraction(athletes * secondsATurn, Math.min(places, athletes));
    if (compare(pace, round) > 0) round = pace;
  }
  const waited = minus(round, moving);
  return {
    turnsEach: Number(floorOf(fraction(BigInt(seconds) * round.d, round.n))),
    share: waited.n === 0n ? ZERO : fraction(waited.n * round.d, waited.d * round.n),
    seconds: waited,
  };
}
