import { done, type Matside, refused, signedIn } from './client.ts';

/** Given as JSON: where the service is, and with which sign-ins. */
interface Given {
  url: string;
  gymId: string;
  password: string;
  emails: { owner: string; lead: string; manager: string };
}

const SESSION_DAY = '2026-09-14';

const given: Given = JSON.parse(process.argv[2] ?? '');
const owner = await signedIn(given.url, given.emails.owner, given.password);
const lead = await signedIn(given.url, given.emails.lead, given.password);
const manager = await signedIn(given.url, given.emails.manager, given.password);
const at = { gymId: given.gymId };
const say = (line: string) => console.log(line);

const { kindId } = await setRules(owner);
const { planId, programmeId } = await publishPlan(lead, kindId);
const staff = {
  qualified: await hire(manager, 'Niamh', kindId),
  unqualified: await hire(manager, 'Tadhg', null),
  second: await hire(manager, 'Orla', kindId),
  third: await hire(manager, 'Eoin', kindId),
};
const { sessionId, blockId } = await planSession(manager, programmeId, planId);
await staffBlock();

async function setRules(owner: Matside) {
  const kind = await done(
    owner.POST('/v1/qualification-kinds', {
      body: { name: 'Spotting on bars', countsFor: ['leading', 'spotting'], grades: ['basic', 'full'] },
    }),
  );
  const { items } = await done(owner.GET('/v1/duty-rules'));
  const duty = items.find((rule) => rule.duty === 'lead');
  await done(
    owner.PUT('/v1/duty-rules/{duty}', {
      params: { path: { duty: 'lead' }, header: { 'If-Match': `"r${duty?.revision}"` } },
      body: { who: { test: 'holds', kind: kind.id, grade: 1 } },
    }),
  );
  const { rules } = await done(
    owner.POST('/v1/ratio-rules', {
      body: {
        name: 'One coach to eight',
        from: '2026-09-07',
        rule: {
          bands: [{ id: 'everybody', limits: [{ athletesPerCoach: '8' }] }],
          counts: [{ who: { test: 'duty', in: ['lead', 'assist'] }, share: '1', maxOf: null }],
        },
      },
    }),
  );
  say(`rule in force: ${rules[0]?.name}`);
  return { kindId: kind.id };
}

async function publishPlan(lead: Matside, kindId: string) {
  const apparatus = await done(lead.GET('/v1/apparatus', { params: { query: { limit: 200 } } }));
  const bars = apparatus.items.find(({ name }) => name === 'bars');
  if (!bars) throw new Error('there are no bars');
  const programme = await done(
    lead.POST('/v1/programmes', { body: { name: 'First swings', levels: [{ name: 'Acorn' }] } }),
  );
  const drill = await done(
    lead.POST('/v1/drills', {
      body: {
        name: 'Pullover with a hand under the back',
        apparatusId: bars.id,
        sayFirst: 'Chin stays on your chest.',
        spotting: { mode: 'hands-on', kindId, grade: 1 },
        skills: [],
        secondsATurn: 30,
        places: 1,
      },
    }),
  );
  const plan = await done(
    lead.POST('/v1/lesson-plans', { body: { title: 'Swings', weekOf: SESSION_DAY, programmeIds: [programme.id] } }),
  );
  const path = { planId: plan.id };
  const draft = await done(
    lead.PUT('/v1/lesson-plans/{planId}/draft', {
      params: { path, header: { 'If-Match': `"r${plan.draft?.revision}"` } },
      body: {
        focus: [{ apparatusId: bars.id, skills: [], nextWeek: 'The same from a hang.' }],
        blocks: [
          {
            title: 'Bars',
            activity: 'apparatus',
            minutes: 30,
            apparatusIds: [bars.id],
            formation: 'file',
            importance: 1,
            classRule: 'One at a time.',
            stationsRun: 'side-by-side',
            stations: [
              {
                name: 'Low bar',
                apparatusId: bars.id,
                items: 1,
                setUp: { words: 'A thick mat under it', pieces: [], staysUp: false },
                places: null,
                steps: [
                  {
                    drillIds: [drill.id],
                    chooseBy: null,
                    fromLevelId: null,
                    dose: { amount: 4, unit: 'turns', sets: 1, eachSide: false, note: null },
                    weight: 'core',
                  },
                ],
              },
            ],
          },
        ],
      },
    }),
  );
  const published = await done(
    lead.POST('/v1/lesson-plans/{planId}/draft/publish', {
      params: { path, header: { 'If-Match': `"r${draft.revision}"` } },
      body: { effectiveWeek: null, note: 'Hands on at every turn.' },
    }),
  );
  say(`plan: ${published.state}`);
  return { planId: plan.id, programmeId: programme.id };
}

async function hire(manager: Matside, given: string, kindId: string | null): Promise<string> {
  const evidence = 'certificate seen';
  const hired = await done(
    manager.POST('/v1/gyms/{gymId}/staff', {
      params: { path: at },
      body: {
        person: { given, family: 'Byrne' },
        born: '1990-02-28',
        employment: { from: '2026-01-01' },
        qualifications: kindId === null ? [] : [{ kindId, grade: 1, from: '2026-01-01', evidence }],
      },
    }),
  );
  return hired.personId;
}

async function planSession(manager: Matside, programmeId: string, planId: string) {
  const made = await done(
    manager.POST('/v1/gyms/{gymId}/classes', {
      params: { path: at },
      body: {
        name: 'Monday swings',
        programmeId,
        weekday: 1,
        time: '17:00',
        durationMinutes: 30,
        capacity: 12,
        from: SESSION_DAY,
        until: '2026-09-15',
      },
    }),
  );
  const ofClass = { path: { ...at, classId: made.id } };
  for (let child = 1; child <= 9; child += 1) {
    const athlete = await done(
      manager.POST('/v1/gyms/{gymId}/athletes', {
        params: { path: at },
        body: { person: { given: `Child ${child}`, family: 'Walsh' }, born: '2018-05-05' },
      }),
    );
    await done(
      manager.POST('/v1/gyms/{gymId}/classes/{classId}/enrolments', {
        params: ofClass,
        body: { athleteId: athlete.athleteId, from: SESSION_DAY },
      }),
    );
  }
  const { laidOut } = await done(
    manager.POST('/v1/gyms/{gymId}/classes/{classId}/sessions', {
      params: ofClass,
      body: { from: SESSION_DAY, until: '2026-09-15' },
    }),
  );
  const [dated] = laidOut;
  const sessionId = dated?.id ?? '';
  const session = await done(
    manager.POST('/v1/gyms/{gymId}/sessions/{sessionId}/lay-out', {
      params: { path: { ...at, sessionId }, header: { 'If-Match': `"r${dated?.revision}"` } },
      body: { planId, groupCount: 1 },
    }),
  );
  say(`session: ${session.athleteCount} athletes, ${session.blocks.length} block`);
  return { sessionId, blockId: session.blocks[0]?.id ?? '' };
}

async function staffBlock(): Promise<void> {
  const block = { path: { ...at, blockId } };
  const place = (personId: string, duty: 'lead' | 'assist') =>
    manager.POST('/v1/gyms/{gymId}/blocks/{blockId}/assignments', { params: block, body: { personId, duty } });
  const confirm = () => manager.POST('/v1/gyms/{gymId}/blocks/{blockId}/confirm', { params: block });

  const { refusals } = await refused(place(staff.unqualified, 'lead'), '/problems/not-admissible');
  say(`refused: ${refusals.map(({ why }) => why).join(', ')}`);

  const alone = await done(place(staff.qualified, 'lead'));
  say(`covered by one: ${alone.cover.covered}`);
  const { findings } = await refused(confirm(), '/problems/not-covered');
  say(`not confirmed: ${findings.map(({ code, short }) => `${code} by ${short}`).join(', ')}`);

  const both = await done(place(staff.second, 'assist'));
  say(`covered by two: ${both.cover.covered}`);
  say(`confirmed: ${(await done(confirm())).confirmed}`);

  const release = manager.POST('/v1/gyms/{gymId}/assignments/{assignmentId}/release', {
    params: { path: { ...at, assignmentId: both.assignment.id } },
    body: { reason: 'Needed at the desk' },
  });
  const broken = await refused(release, '/problems/cover-broken');
  say(`not released: ${broken.remedies.length > 0 ? 'with remedies' : 'without a remedy'}`);

  const { startsAt, endsAt } = both.assignment;
  const { settled } = await done(
    manager.POST('/v1/gyms/{gymId}/absences', {
      params: { path: at },
      body: { personId: staff.second, startsAt, endsAt },
    }),
  );
  const [lost] = settled.unconfirmed;
  say(`absence: ${settled.released.length} released, ${settled.unconfirmed.length} unconfirmed`);
  say(`the block that lost its confirmation is the one: ${lost?.blockId === blockId}`);

  const remedy = lost?.remedies.find(({ request }) => request !== null)?.request;
  if (!remedy) throw new Error('no remedy is ready to send');
  await send(remedy.path, remedy.body);
  say(`confirmed again: ${(await done(confirm())).confirmed}`);

  const session = await done(
    manager.GET('/v1/gyms/{gymId}/sessions/{sessionId}', { params: { path: { ...at, sessionId } } }),
  );
  say(`session: ${session.state}`);
}

/** A remedy is sent as it came: which operation it is, no type can know before. */
async function send(path: string, body: unknown): Promise<void> {
  const { accessToken } = await done(
    manager.POST('/v1/sign-in', { body: { email: given.emails.manager, password: given.password } }),
  );
  const response = await fetch(new URL(path, given.url), {
    method: 'POST',
    headers: { Authorization: `Bearer ${accessToken}`, 'Content-Type': 'application/json' },
    body: JSON.stringify(body),
  });
  if (!response.ok) throw new Error(`the remedy was refused: ${await response.text()}`);
}
