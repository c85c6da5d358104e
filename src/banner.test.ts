import { expect, test } from 'vitest';
import { banner } from './banner.ts';

const signIn = (role: string, who: string) => ({ role, email: `${role}@example.org`, password: 'try-me', who });

test('an embedded database with its demo: who may sign in, and a request to paste', () => {
  const said = banner({
    url: 'http://127.0.0.1:3000',
    database: { kind: 'embedded', folder: '/here/.data/postgres' },
    demo: {
      signIns: [signIn('owner', 'Ada Lindqvist'), signIn('programme_lead', 'Bo')],
      refusal: { title: 'an unqualified coach', curl: ['curl {url}/v1/x \\', '  -H "Origin: {url}"'] },
    },
  });
  expect(said.split('\n')).toEqual([
    '',
    '  Matside is running at http://127.0.0.1:3000',
    '  API reference   http://127.0.0.1:3000/reference',
    '  Database        embedded PostgreSQL, kept in /here/.data/postgres',
    '',
    '  Demo sign-ins (role, email, password, who)',
    '    owner           owner@example.org           try-me  Ada Lindqvist',
    '    programme_lead  programme_lead@example.org  try-me  Bo',
    '',
    '  Try this: an unqualified coach',
    '',
    'curl http://127.0.0.1:3000/v1/x \\',
    '  -H "Origin: http://127.0.0.1:3000"',
    '',
    '  Ctrl-C stops it.',
    '',
  ]);
});

test('a given database: its address, and no demo', () => {
  const said = banner({ url: 'https://gyms.example.org', database: { kind: 'given', host: 'db:5432' }, demo: null });
  expect(said).toContain('PostgreSQL at db:5432');
  expect(said).not.toContain('Demo');
});
