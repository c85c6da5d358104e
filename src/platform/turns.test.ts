import { expect, test } from 'vitest';
import { createPasswords } from './auth/passwords.ts';
import { createTurns } from './turns.ts';

/** Work that goes on until it is told to end. */
function aWork() {
  let end = () => {};
  const ended = new Promise<void>((resolve) => {
    end = resolve;
  });
  let hasBegun = false;
  const work = async () => {
    hasBegun = true;
    await ended;
  };
  return { work, end, hasBegun: () => hasBegun };
}

test('of two at once the third waits, and the one beyond the queue hears "busy"', async () => {
  const inTurn = createTurns(2, 1);
  const [first, second, third, fourth] = [aWork(), aWork(), aWork(), aWork()];
  const running = [first, second, third].map(({ work }) => inTurn(work));
  await expect(inTurn(fourth.work)).rejects.toMatchObject({ problem: 'busy' });
  const begun = () => [first, second, third, fourth].map(({ hasBegun }) => hasBegun());
  expect(begun()).toEqual([true, true, false, false]);

  first.end();
  await running[0];
  await Promise.resolve();
  expect(begun()).toEqual([true, true, true, false]);
  second.end();
  third.end();
  await Promise.all(running);
  fourth.end();
  await inTurn(fourth.work);
  expect(fourth.hasBegun()).toBe(true);
});

test('one that fails makes room for the next', async () => {
  const inTurn = createTurns(1, 1);
  const failing = inTurn(() => Promise.reject(new Error('no')));
  const next = inTurn(async () => 'done');
  await expect(failing).rejects.toThrow('no');
  expect(await next).toBe('done');
});

test('two passwords are looked at at once, fifty wait, and the next hears "busy"', async () => {
  const passwords = createPasswords(4);
  const asked = Array.from({ length: 26 }, () => [passwords.hash('a password'), passwords.fits('a password', null)]);
  await expect(passwords.hash('one too many')).rejects.toMatchObject({ problem: 'busy' });
  await expect(passwords.fits('one too many', null)).rejects.toMatchObject({ problem: 'busy' });
  await Promise.all(asked.flat());
  expect(await passwords.fits('a password', await passwords.hash('a password'))).toBe(true);
});
