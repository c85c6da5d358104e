/**
 * Waits for all that is sent together, and gives what each gave. Of several that failed it tells the first that was sent,
 * whichever is heard of first: those behind it failed only because of it, and what is to be said of it, and whether the
 * transaction is worth another try, is for it to say.
 */
export function together<T extends readonly unknown[] | []>(
  sent: T,
): Promise<{ -readonly [K in keyof T]: Awaited<T[K]> }>;
export async function together(sent: readonly unknown[]): Promise<unknown[]> {
  // A query of the builder is sent anew by each that waits for it: so each is waited for once.
  const asked = sent.map((one) => Promise.resolve(one));
  for (const one of await Promise.allSettled(asked)) if (one.status === 'rejected') throw one.reason;
  return Promise.all(asked);
}
