import { fraction } from '../fraction.ts';
import { deficientSet, largestMatching, sizeOf } from '../matching.ts';
import { spottersFor } from '../spotters.ts';
import { lackOf, type PlaceCheck, subjectsOf } from './check.ts';

/** Stations that are spotted side by side have different qualified coaches; the reason is the set that falls short. */
export const spotting: PlaceCheck = {
  code: 'spotting',
  check(spot, moment) {
    const { stations, people, choices } = spottersFor(spot, moment);
    const missing = stations.length - sizeOf(largestMatching(choices));
    if (missing === 0) return [];
    const set = deficientSet(choices);
    const short = set.slots.map((slot) => stations[slot]?.id ?? '');
    const able = set.people.map((person) => people[person]?.staff.person ?? '');
    const numbers = { needed: fraction(short.length), counted: fraction(able.length) };
    return [lackOf(missing, { numbers, subjects: [...subjectsOf('staff', able), ...subjectsOf('station', short)] })];
  },
};
