// Given names as people have them; family names put together from parts, so that they point at nobody.

export const GIVEN = [
  'Ada', 'Bram', 'Chloe', 'Dion', 'Elin', 'Farid', 'Greta', 'Hamza', 'Ines', 'Jonah', 'Kaya', 'Lewis', 'Mina', 'Noel',
  'Opal', 'Pavel', 'Quinn', 'Rosa', 'Silas', 'Tess', 'Umar', 'Vera', 'Will', 'Xenia', 'Yusuf', 'Zoe', 'Amara', 'Beck',
  'Cleo', 'Davi', 'Edie', 'Finn', 'Gia', 'Hollis', 'Ida', 'Jamal', 'Kit', 'Lena', 'Milo', 'Nora', 'Otis', 'Priya',
  'Rafe', 'Sana', 'Theo', 'Uma', 'Viggo', 'Willa', 'Yara', 'Zane',
] as const;

export const GROWN_UP = [
  'Adrian', 'Bianca', 'Callum', 'Dorothea', 'Emil', 'Fatima', 'Gordon', 'Hannah', 'Ivan', 'Judith', 'Kwame', 'Lucia',
  'Malik', 'Nina', 'Oscar', 'Paula', 'Ravi', 'Sylvie', 'Tomas', 'Wanda',
] as const;

const FIRST = [
  'Ash', 'Birk', 'Corn', 'Dun', 'Elder', 'Fenn', 'Garr', 'Hallow', 'Iver', 'Jess', 'Kelp', 'Lark', 'Moss', 'Nettle',
  'Oaken', 'Pinder', 'Rush', 'Salt', 'Thistle', 'Under', 'Venn', 'Wex', 'Yarrow', 'Zell',
] as const;
const LAST = ['wick', 'tarn', 'hythe', 'lowe'] as const;

/** The family name of the n-th family: all different up to 96. */
export function familyName(n: number): string {
  const first = FIRST[n % FIRST.length];
  const last = LAST[(n + Math.floor(n / FIRST.length)) % LAST.length];
  return `${first}${last}`;
}
