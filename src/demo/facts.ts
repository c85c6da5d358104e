import type { DemoFacts } from '../banner.ts';
import { REHEARSAL } from './data/timetable.ts';
import type { Place } from './seed-place.ts';
import type { LaidOut } from './seed-schedule.ts';
import { DEMO_PASSWORD, type DemoSignIn, SIGN_INS, whoIs } from './sign-ins.ts';

/** The sign-ins, as the start shows them. */
export const signInsShown = (): DemoFacts['signIns'] =>
  Object.values<DemoSignIn>(SIGN_INS).map((signIn) => ({
    role: signIn.role,
    email: signIn.email,
    password: DEMO_PASSWORD,
    who: whoIs(signIn),
  }));

/** A request that is refused with its reasons: the rehearsal's block that has one coach. */
export function refusalToTry(place: Place, laidOut: readonly LaidOut[]): DemoFacts['refusal'] {
  const rehearsal = laidOut.find(({ data }) => data.key === 'rehearsal');
  const block = rehearsal?.session.blocks.find(({ title }) => title === REHEARSAL.title);
  if (!block) throw new Error('the rehearsal has no block to try');
  const signIn = JSON.stringify({ email: SIGN_INS.manager.email, password: DEMO_PASSWORD });
  return {
    title: 'confirm a block that does not have the coaches it needs',
    curl: [
      `TOKEN=$(curl -s {url}/v1/sign-in -H 'Content-Type: application/json' \\`,
      `  -d '${signIn}' | sed 's/.*"accessToken":"\\([^"]*\\)".*/\\1/')`,
      `curl -s -X POST {url}/v1/gyms/${place.gym(REHEARSAL.gym)}/blocks/${block.id}/confirm \\`,
      `  -H "Authorization: Bearer $TOKEN"`,
    ],
  };
}
