import type { Standard } from '../../cover/index.ts';
import type { Context } from '../../platform/context.ts';
import type { Fault } from '../../platform/problem.ts';
import { faultsInKinds, type KindNamed } from '../people/kinds.ts';
import { faultsInScope } from './rule-references.ts';
import type { StandardAdoption } from './schema.ts';
import { scopeOf } from './written.ts';

/** What a kind has to be good for, one of these, to fill a slot; any kind may fill those that are not here. */
const GOOD_FOR: Partial<Record<string, KindNamed['goodFor']>> = {
  'lead-coach': ['leading', 'assisting'],
  'assistant-coach': ['leading', 'assisting'],
  'certified-coach': ['leading', 'assisting'],
  screened: ['screening'],
};

/** What an adoption names that its table does not speak of, that is not there, or that is good for something else. */
export const faultsInAdoption = async (
  ctx: Context,
  standard: Standard,
  adoption: StandardAdoption,
): Promise<Fault[]> => [
  ...faultsInParts(standard, adoption),
  ...(await faultsInSlots(ctx, standard, adoption)),
  ...(await faultsInScopes(ctx, adoption)),
];

function faultsInParts({ id, parts }: Standard, adoption: StandardAdoption): Fault[] {
  const known = (part: string) => parts.includes(part);
  const detail = `Standard "${id}" has no such part; its parts are ${parts.join(', ')}.`;
  return [
    ...(adoption.parts ?? []).flatMap((part, i) => (known(part) ? [] : [{ pointer: `/parts/${i}`, detail }])),
    ...Object.keys(adoption.scopes ?? {}).flatMap((part) =>
      known(part) ? [] : [{ pointer: `/scopes/${part}`, detail }],
    ),
  ];
}

async function faultsInSlots(ctx: Context, { id, slots }: Standard, { kinds }: StandardAdoption): Promise<Fault[]> {
  const missing = slots
    .filter(({ slot, required }) => required && kinds[slot] === undefined)
    .map(({ slot, means }) => ({
      pointer: `/kinds/${slot}`,
      detail: `Name your kind of qualification for it: ${means}.`,
    }));
  const spoken = new Set<string>(slots.map(({ slot }) => slot));
  const given = Object.entries(kinds).flatMap(([slot, one]) => (one === undefined ? [] : [{ slot, ...one }]));
  const unspoken = given
    .filter(({ slot }) => !spoken.has(slot))
    .map(({ slot }) => ({ pointer: `/kinds/${slot}`, detail: `Standard "${id}" does not speak of it; leave it out.` }));
  const named = given
    .filter(({ slot }) => spoken.has(slot))
    .map(({ slot, kindId, grade }) => {
      const at = `/kinds/${slot}`;
      return { kindId, grade, atKind: `${at}/kindId`, atGrade: `${at}/grade`, goodFor: GOOD_FOR[slot] };
    });
  return [...missing, ...unspoken, ...(await faultsInKinds(ctx, named))];
}

async function faultsInScopes(ctx: Context, { scope, scopes = {}, except }: StandardAdoption): Promise<Fault[]> {
  const faults = await faultsInScope(ctx, scopeOf(scope), null, '/scope');
  if (except !== null) faults.push(...(await faultsInScope(ctx, scopeOf(except), null, '/except')));
  for (const [part, one] of Object.entries(scopes)) {
    faults.push(...(await faultsInScope(ctx, scopeOf(one), null, `/scopes/${part}`)));
  }
  return faults;
}
