import { clientFor } from './client.ts';

/** Never called: each of these is wrong, and the types have to say so, or this file does not compile. */
export async function misuse(): Promise<void> {
  const client = clientFor('http://localhost');
  const params = { path: { gymId: 'one', blockId: 'two' } };

  // @ts-expect-error there is no such operation
  await client.GET('/v1/blocks');
  // @ts-expect-error an area is added, not put
  await client.PUT('/v1/gyms/{gymId}/areas', { params });
  const assign = '/v1/gyms/{gymId}/blocks/{blockId}/assignments';
  // @ts-expect-error who it is about is missing
  await client.POST(assign, { params, body: { duty: 'lead' } });
  // @ts-expect-error there is no such duty at a block
  await client.POST(assign, { params, body: { personId: 'a', duty: 'oversee' } });
  // @ts-expect-error the revision that was read is missing
  await client.PATCH('/v1/gyms/{gymId}', { params: { path: { gymId: 'one' } }, body: { name: 'Quay hall' } });
  const { data } = await client.GET('/v1/gyms/{gymId}', { params: { path: { gymId: 'one' } } });
  // @ts-expect-error a gym has no colour
  console.log(data?.colour);
}
