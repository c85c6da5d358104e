import { describe, expect, test } from 'vitest';
import { lacksLetters } from './sheet-pdf.ts';

describe('the font has', () => {
  test.each(['Fionnghuala Ó Maolalaidh', 'Łukasz Żółć', 'Nguyễn Thị Hồng', 'Ελένη', 'Олена Їжак', '12 × 3 · “so” – ½'])(
    '%s',
    (text) => {
      expect(lacksLetters(text)).toBe(false);
    },
  );

  test.each(['ليلى', '田中 さくら', 'नेहा', 'Ann שרה'])('not %s', (text) => {
    expect(lacksLetters(text)).toBe(true);
  });
});
