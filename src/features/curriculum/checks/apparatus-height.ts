/** A height in centimetres, with what it is measured from and to. */
export interface MeasuredHeight {
  cm: number;
  from: 'floor' | 'mat';
  to: 'top' | 'bottom';
}

/**
 * The height of the top above the mat that a child stands on. Norms for apparatus measure some heights from the floor
 * under the mats and some from the mat, some to the top of a rail and some to its bottom: the same apparatus has then
 * different numbers.
 */
export function topAboveMat({ cm, from, to }: MeasuredHeight, { matCm, railCm }: { matCm: number; railCm: number }) {
  return cm - (from === 'floor' ? matCm : 0) + (to === 'bottom' ? railCm : 0);
}
