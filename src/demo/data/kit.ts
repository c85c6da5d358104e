// What stands around the apparatus: in every gym's mat store, so many of each.

export const KIT = {
  'Thick mat': { items: 8, lengthCm: 200, widthCm: 100, heightCm: 20 },
  'Thin mat': { items: 14, lengthCm: 200, widthCm: 100, heightCm: 4 },
  'Long mat': { items: 4, lengthCm: 600, widthCm: 150, heightCm: 4 },
  Wedge: { items: 2, lengthCm: 180, widthCm: 90, heightCm: 40 },
  Board: { items: 2, lengthCm: 120, widthCm: 60, heightCm: 22 },
  'Low block': { items: 5, lengthCm: 90, widthCm: 60, heightCm: 40 },
  'High block': { items: 2, lengthCm: 120, widthCm: 60, heightCm: 80 },
  Barrel: { items: 1, lengthCm: 100, widthCm: 70, heightCm: 70 },
  Cone: { items: 20, lengthCm: 15, widthCm: 15, heightCm: 20 },
  Spot: { items: 30, lengthCm: 25, widthCm: 25, heightCm: 1 },
} as const;
export type KitName = keyof typeof KIT;

export const MAT_STORE = 'Mat store';
