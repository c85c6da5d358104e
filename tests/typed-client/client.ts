import createClient, { type Client } from 'openapi-fetch';
import type { paths } from '#schema';

export type Matside = Client<paths>;

/** A client whose types are those of the committed document, and nothing of ours. */
export const clientFor = (url: string, accessToken?: string): Matside =>
  createClient<paths>({
    baseUrl: url,
    ...(accessToken === undefined ? {} : { headers: { Authorization: `Bearer ${accessToken}` } }),
  });

/** Signs in, and gives a client for that account. */
export async function signedIn(url: string, email: string, password: string): Promise<Matside> {
  const { accessToken } = await done(clientFor(url).POST('/v1/sign-in', { body: { email, password } }));
  return clientFor(url, accessToken);
}

/** What an operation gave. Ends the program where it refused. */
export async function done<T>(
  call: Promise<{ data?: T | undefined; error?: unknown; response: Response }>,
): Promise<T> {
  const { data, error, response } = await call;
  if (data === undefined) throw new Error(`${response.url} answered ${response.status}: ${JSON.stringify(error)}`);
  return data;
}

/** The refusal that was expected, by its type. Ends the program where it was let through, or refused otherwise. */
export async function refused<E extends { type: string }, T extends E['type']>(
  call: Promise<{ error?: E | undefined; response: Response }>,
  type: T,
): Promise<Extract<E, { type: T }>> {
  const { error, response } = await call;
  if (error === undefined || !isOfType(error, type)) {
    throw new Error(`${response.url} answered ${response.status}, not ${type}: ${JSON.stringify(error)}`);
  }
  return error;
}

const isOfType = <E extends { type: string }, T extends E['type']>(
  error: E,
  type: T,
): error is Extract<E, { type: T }> => error.type === type;
