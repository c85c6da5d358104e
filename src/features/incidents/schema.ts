import { z } from 'zod';
import { CoverOnWire } from '../../enforcement/wire.ts';
import {
  Day,
  flag,
  Id,
  Instant,
  inReadersLanguage,
  Name,
  PageQuery,
  page,
  Reason,
  Revision,
  Text,
  Words,
} from '../../platform/http/wire.ts';
import { CHAINS, INCIDENT_KINDS } from '../../tables/incidents.ts';
import { Amendment, Attachment, Completion, Concussion, FollowUp, Signature, Suspicion } from './addition-schema.ts';
import { MOST } from './bounds.ts';

const Part = z.enum(['hurt', 'involved']);

const note = {
  kind: z.enum(INCIDENT_KINDS),
  occurredAt: Instant,
  blockId: Id.nullable().meta({ description: 'Null: in no block' }),
  people: z
    .array(z.strictObject({ personId: Id, part: Part }))
    .max(30)
    .meta({ description: 'Athletes and staff of the gym, each once' }),
  what: Words(4000).meta({ description: 'What happened' }),
  whereItHurts: Text(1000),
  done: Text(2000).meta({ description: 'What was done' }),
  told: Text(1000).meta({ description: 'Who was told, and when' }),
  readers: z
    .array(Id)
    .max(MOST.readers)
    .meta({ description: 'Accounts that alone may read a safeguarding concern; for the other kinds, none' }),
};

export const NewIncident = z
  .strictObject({
    ...note,
    occurredAt: note.occurredAt.optional().meta({ description: 'Now, when left out' }),
    blockId: note.blockId.optional().meta({
      description: 'Left out: the block that those named, or else the writer, were in at that moment',
    }),
    people: note.people.default([]),
    whereItHurts: note.whereItHurts.default(''),
    done: note.done.default(''),
    told: note.told.default(''),
    readers: note.readers.default([]),
    suspectedConcussions: z.array(Suspicion).max(5).default([]),
  })
  .meta({ id: 'NewIncident', description: 'The half-minute note: a near miss needs its kind and a line' });
export type NewIncident = z.output<typeof NewIncident>;
export const IncidentChanges = z
  .strictObject(note)
  .omit({ kind: true, occurredAt: true, blockId: true })
  .partial()
  .meta({ id: 'IncidentChanges' });
export type IncidentChanges = z.output<typeof IncidentChanges>;

export const Signed = z.strictObject({ signedAs: Signature }).meta({ id: 'Signed' });

export const Receipt = z
  .strictObject({
    id: Id,
    sentAt: Instant,
    signedAs: Name,
    link: z
      .int()
      .min(1)
      .max(2_147_483_647)
      .nullable()
      .meta({ description: 'Its number in the gym’s chain of hashes; of a safeguarding concern, null' }),
    revision: Revision,
  })
  .meta({ id: 'IncidentReceipt' });
export type Receipt = z.output<typeof Receipt>;

const Labelled = { personId: Id, name: z.string().max(300).nullable().meta({ description: 'Null: erased' }) };
export const StoredFacts = z.strictObject({
  blockId: Id.nullable(),
  staff: z
    .array(
      z.strictObject({
        personId: Id,
        duty: z.string().max(20),
        unit: z.strictObject({ per: z.enum(['block', 'session', 'premises']), id: Id }),
        qualifications: z
          .array(
            z.strictObject({
              kindId: Id,
              kind: z.string().max(200),
              grade: z.int().min(1).max(100),
              from: Day,
              until: Day.nullable(),
            }),
          )
          .max(200),
      }),
    )
    .max(500),
  athletes: z.array(z.strictObject({ personId: Id, state: z.string().max(20) })).max(1000),
  cover: z
    .array(CoverOnWire)
    .max(100)
    .meta({
      description:
        'By who was there, as recorded; where nothing was, by the assignments and groups of that moment. Kept as written: in English',
    })
    .register(inReadersLanguage, { readers: false }),
  rules: z
    .array(z.strictObject({ ruleId: Id, version: z.int().min(1).max(1_000_000), name: z.string().max(200) }))
    .max(500),
});
export type StoredFacts = z.output<typeof StoredFacts>;
export const Snapshot = z
  .strictObject({
    ...StoredFacts.shape,
    takenAt: Instant,
    staff: z.array(z.strictObject({ ...StoredFacts.shape.staff.element.shape, ...Labelled })).max(500),
    athletes: z.array(z.strictObject({ ...StoredFacts.shape.athletes.element.shape, ...Labelled })).max(1000),
  })
  .meta({
    id: 'IncidentSnapshot',
    description:
      'The facts of that minute, as the service knew them when the note was begun; people, to a coach, only of a block of their own',
  });
export type Snapshot = z.output<typeof Snapshot>;

const ReportPrompt = z
  .strictObject({
    id: z.string().max(60),
    rule: z.string().max(1000),
    source: z.string().max(300),
    by: Instant.nullable(),
    check: z.string().max(300),
  })
  .meta({ id: 'ReportPrompt', description: 'A published threshold that the note may meet; never a decision' });

const AgeCode = z
  .int()
  .min(0)
  .max(300)
  .nullable()
  .meta({ description: 'Age that day as NEISS writes it: years, but 200 and the months below two; null: unknown' });

const State = z.enum(['draft', 'sent']);
const summary = {
  id: Id,
  kind: z.enum(INCIDENT_KINDS),
  state: State,
  occurredAt: Instant,
  day: Day,
  what: Text(4000),
  people: z.array(z.strictObject({ ...Labelled, part: Part, ageCode: AgeCode })).max(40),
  keepUntil: Day.nullable().meta({
    description: 'Kept until then at the least, then due for review; null: no end is known',
  }),
  revision: Revision,
};
export const IncidentSummary = z.strictObject(summary).meta({ id: 'IncidentSummary' });
export type IncidentSummary = z.output<typeof IncidentSummary>;
export const IncidentPage = page(IncidentSummary, 'IncidentPage');
export const Incident = z
  .strictObject({
    ...summary,
    sessionId: Id.nullable(),
    blockId: Id.nullable(),
    whereItHurts: Text(1000),
    done: Text(2000),
    told: Text(1000),
    readers: z.array(Id).max(MOST.readers),
    writtenBy: Id.meta({ description: 'The account' }),
    writtenAt: Instant,
    completion: Completion.nullable().meta({ description: 'The newest; amendments keep those before' }),
    sent: z.strictObject({ at: Instant, by: Id, signedAs: Name }).nullable(),
    amendments: z.array(Amendment).max(MOST.amendments),
    followUps: z.array(FollowUp).max(MOST.followUps),
    attachments: z.array(Attachment).max(MOST.attachments),
    concussions: z.array(Concussion).max(MOST.concussions),
    snapshot: Snapshot,
    prompts: z.array(ReportPrompt).max(50),
    caution: z.string().max(300),
  })
  .meta({ id: 'Incident' });
export type Incident = z.output<typeof Incident>;

export const IncidentQuery = z.strictObject({
  ...PageQuery,
  kind: z.enum(INCIDENT_KINDS).optional(),
  state: State.optional(),
  personId: Id.optional().meta({ description: 'Only notes about this person' }),
  dueForReview: flag.optional().meta({ description: 'Only what has been kept for as long as it had to be' }),
});
export type IncidentQuery = z.output<typeof IncidentQuery>;

export const Review = z
  .strictObject({ keepUntil: Day, reason: Reason, signedAs: Signature })
  .meta({ id: 'IncidentReview' });

export const CountQuery = z.strictObject({
  from: Day.optional().meta({ description: 'Not before this day' }),
  until: Day.optional().meta({ description: 'Before this day' }),
});
export const IncidentCounts = z
  .strictObject({
    from: Day.nullable(),
    until: Day.nullable(),
    counts: z.array(z.strictObject({ kind: z.enum(INCIDENT_KINDS), count: z.int().min(0).max(1_000_000) })).max(10),
  })
  .meta({ id: 'IncidentCounts', description: 'Sent notes by kind, no persons; safeguarding concerns are not counted' });

export const Reader = z
  .strictObject({ accountId: Id, name: z.string().max(300).nullable(), roles: z.array(z.string().max(30)).max(20) })
  .meta({ id: 'IncidentReader' });
export type Reader = z.output<typeof Reader>;
export const ReaderPage = page(Reader, 'IncidentReaderPage');

export const ChainQuery = z.strictObject({
  of: z
    .enum(CHAINS)
    .default('notes')
    .meta({ description: 'The chain of safeguarding concerns is the owner’s to verify' }),
});

export const Verified = z
  .strictObject({
    intact: z.boolean(),
    links: z.int().min(0).max(2_147_483_647),
    head: z
      .string()
      .length(64)
      .meta({ description: 'The last link’s hash: keep it elsewhere to prove more than this can' }),
    broken: z
      .strictObject({ number: z.int().min(1).max(2_147_483_647), incidentId: Id.nullable(), why: z.string().max(300) })
      .nullable()
      .meta({ description: 'The first link that does not hold' }),
  })
  .meta({ id: 'VerifiedChain' });
export type Verified = z.output<typeof Verified>;
