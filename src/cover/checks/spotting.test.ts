import { describe, expect, test } from 'vitest';
import {
  ALWAYS,
  aBand,
  aFloor,
  aRule,
  aStation,
  atBlock,
  holding,
  overseeing,
  span,
  spotted,
} from '../../../tests/support/a-floor.ts';
import { describeCheck } from '../../../tests/support/check-table.ts';
import { formatFraction } from '../fraction.ts';
import { coverOf } from '../timeline.ts';
import type { Cover, Floor, Rule, Spotting } from '../types.ts';
import { spotting } from './spotting.ts';

const vault = aStation('vault', spotted('vault'));
const bars = aStation('bars', spotted('bars'));
const both = [...holding('vault'), ...holding('bars')];
const somersault = (level: 'watched' | 'helped' | 'alone'): Spotting => ({
  mode: 'hands-on',
  kind: 'vault',
  grade: 1,
  skills: [{ skill: 'somersault', level }],
});

describeCheck(spotting, {
  passes: {
    'one qualified coach at one station': aFloor({
      athletes: 1,
      stations: [vault],
      coaches: [{ holds: holding('vault') }],
    }),
    'side by side, different coaches': aFloor({
      athletes: 1,
      stations: [vault, bars],
      coaches: [{ holds: both }, { holds: holding('vault') }],
    }),
    'in turn, one coach after the other station': aFloor({
      athletes: 1,
      stations: [
        aStation('vault', spotted('vault'), { span: span('16:00-16:10') }),
        aStation('bars', spotted('bars'), { span: span('16:10-16:20') }),
      ],
      coaches: [{ holds: both }],
    }),
    'meaning 23: a block without athletes needs no spotter': aFloor({ stations: [vault] }),
    'a higher grade': aFloor({
      athletes: 1,
      stations: [aStation('v', spotted('vault', 'stand-by', 2))],
      coaches: [{ holds: holding('vault', 3) }],
    }),
    'signed off at a higher level': aFloor({
      athletes: 1,
      stations: [aStation('v', somersault('helped'))],
      coaches: [{ holds: holding('vault'), signedOff: [{ skill: 'somersault', level: 'alone', ...ALWAYS }] }],
    }),
  },
  breaks: {
    'nobody is qualified': [
      aFloor({ athletes: 1, stations: [vault], coaches: 1 }),
      { short: '1', needed: '1', counted: '0', subjects: ['vault'] },
    ],
    'one coach for two stations: the set that falls short names them all': [
      aFloor({ athletes: 1, stations: [vault, bars], coaches: [{ holds: both }, {}] }),
      { short: '1', needed: '2', counted: '1', subjects: ['coach-00', 'bars', 'vault'] },
    ],
    'a third station that has its own coach is no part of the set': [
      aFloor({
        athletes: 1,
        stations: [vault, bars, aStation('beam-1', spotted('beam'))],
        coaches: [{ holds: both }, { holds: holding('beam') }],
      }),
      { subjects: ['coach-00', 'bars', 'vault'] },
    ],
    'a grade too low': [
      aFloor({
        athletes: 1,
        stations: [aStation('v', spotted('vault', 'stand-by', 2))],
        coaches: [{ holds: holding('vault') }],
      }),
      { subjects: ['v'] },
    ],
    'a qualification that ended yesterday': [
      aFloor({
        athletes: 1,
        stations: [vault],
        coaches: [{ holds: [{ kind: 'vault', grade: 1, from: '2020-01-01', to: '2026-03-12' }] }],
      }),
      { subjects: ['vault'] },
    ],
    'signed off at a lower level': [
      aFloor({
        athletes: 1,
        stations: [aStation('v', somersault('alone'))],
        coaches: [{ holds: holding('vault'), signedOff: [{ skill: 'somersault', level: 'helped', ...ALWAYS }] }],
      }),
      { subjects: ['v'] },
    ],
    'an overseer keeps their hands off': [
      aFloor({ athletes: 1, stations: [vault], coaches: [{}, { at: overseeing('class'), holds: holding('vault') }] }),
      { subjects: ['vault'] },
    ],
    'a one-to-one helper spots nobody else': [
      aFloor({
        athletes: [{ support: { anyOf: ['coach-00'] } }],
        stations: [vault],
        coaches: [{ holds: holding('vault') }],
      }),
      { subjects: ['vault'] },
    ],
  },
});

describe('meaning 12: what somebody counts while spotting by hand', () => {
  const counted = (
    whileSpotting: Rule['whileSpotting'],
    mode: 'hands-on' | 'stand-by' = 'hands-on',
    bands = [aBand('any', null, null, 8)],
  ) => {
    const floor = aFloor({
      athletes: [{ years: 9 }, { years: 4 }],
      stations: [aStation('v', spotted('vault', mode))],
      coaches: [{ holds: holding('vault') }],
      rules: [aRule({ whileSpotting, bands })],
    });
    return formatFraction(coverAt(floor).counts[0]!.counted);
  };

  test.each<[string, string, string]>([
    ['whole, where spotting counts', counted('counts'), '1'],
    ['nothing, where it does not', counted('does-not-count'), '0'],
    ['four athletes of eight', counted({ upTo: 4 }), '1/2'],
    ['no more than whole', counted({ upTo: 20 }), '1'],
    [
      'against the largest limit there',
      counted({ upTo: 4 }, 'hands-on', [aBand('a', null, 6, 5), aBand('b', 6, null, 10)]),
      '2/5',
    ],
    ['whole on stand-by', counted('does-not-count', 'stand-by'), '1'],
  ])('%s', (_, found, expected) => {
    expect(found).toBe(expected);
  });
});

describe('meaning 13: who spots is chosen so that what is left counts most', () => {
  const rule = aRule({
    bands: [aBand('any', null, null, 8)],
    whileSpotting: 'does-not-count',
    counts: [
      { who: { test: 'duty', in: ['lead'] }, share: { n: 1n, d: 1n }, maxOf: null },
      { who: { test: 'duty', in: ['assist'] }, share: { n: 1n, d: 2n }, maxOf: null },
    ],
  });

  test('the assistant spots, the lead counts', () => {
    const floor = aFloor({
      athletes: 8,
      stations: [vault],
      coaches: [{ holds: holding('vault') }, { duty: 'assist', holds: holding('vault') }],
      rules: [rule],
    });
    expect(coverAt(floor)).toMatchObject({ covered: true, spotters: [{ station: 'vault', person: 'coach-01' }] });
  });

  test('where nothing else decides, the first by id spots', () => {
    const floor = aFloor({
      athletes: 1,
      stations: [vault],
      coaches: [{ holds: holding('vault') }, { holds: holding('vault') }],
    });
    expect(coverAt(floor).spotters).toEqual([{ station: 'vault', person: 'coach-00' }]);
  });

  test('a station on stand-by takes the coach who would count, so that the other one spots by hand', () => {
    const floor = aFloor({
      athletes: 8,
      stations: [aStation('hand', spotted('vault')), aStation('stand', spotted('vault', 'stand-by'))],
      coaches: [{ holds: holding('vault') }, { duty: 'assist', holds: holding('vault') }],
      rules: [rule],
    });
    expect(coverAt(floor).spotters).toEqual([
      { station: 'hand', person: 'coach-01' },
      { station: 'stand', person: 'coach-00' },
    ]);
  });

  test('when it fails, the others still have their spotters', () => {
    const floor = aFloor({ athletes: 1, stations: [vault, bars], coaches: [{ holds: holding('vault') }] });
    expect(coverAt(floor)).toMatchObject({ covered: false, spotters: [{ station: 'vault', person: 'coach-00' }] });
  });

  test('of two possible helpers, the one who can spot is left free', () => {
    const floor = aFloor({
      athletes: [{ support: { anyOf: ['coach-00', 'coach-01'] } }],
      stations: [vault],
      coaches: [{ holds: holding('vault') }, {}],
    });
    expect(coverAt(floor)).toMatchObject({ covered: true, spotters: [{ station: 'vault', person: 'coach-00' }] });
  });
});

const coverAt = (floor: Floor): Cover => coverOf(floor, atBlock('beam'))[0] as Cover;
