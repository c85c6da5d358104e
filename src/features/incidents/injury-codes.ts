import { EDITIONS } from '../../tables/incidents.ts';
import { RED_FLAGS } from './concussion-codes.ts';
import { BODY_PARTS, DIAGNOSES, DISPOSITIONS, LOCATION, PRODUCTS } from './neiss.ts';

const tableOf = (codes: Readonly<Record<number, string>>) =>
  Object.entries(codes).map(([code, label]) => ({ code: Number(code), label }));

/** The tables as they travel, in the order of their codes. */
export const injuryCodes = () => ({
  source: 'US CPSC NEISS, option lists of the 2014 data year; product codes from its comparability table',
  bodyPart: tableOf(BODY_PARTS),
  diagnosis: tableOf(DIAGNOSES),
  disposition: tableOf(DISPOSITIONS),
  product: tableOf(PRODUCTS),
  location: LOCATION,
  observations: EDITIONS.flatMap((edition) => RED_FLAGS[edition].map((code) => ({ edition, code }))),
});
