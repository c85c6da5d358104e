import { z } from 'zod';
import {
  Day,
  flag,
  GymRef,
  Id,
  Instant,
  Line,
  Name,
  PageQuery,
  page,
  Revision,
  Text,
  Words,
} from '../../platform/http/wire.ts';
import { AMENDMENTS, EDITIONS, MEDIA_TYPES } from '../../tables/incidents.ts';
import { MOST } from './bounds.ts';
import { OBSERVATIONS } from './concussion-codes.ts';
import { MOST_BASE64 } from './media-type.ts';

// What is added to a note beside its own words.

export const IncidentRef = GymRef.extend({ incidentId: Id });
export const AttachmentRef = IncidentRef.extend({ attachmentId: Id });
export const FollowUpRef = IncidentRef.extend({ followUpId: Id });
export const ConcussionRef = IncidentRef.extend({ concussionId: Id });
export interface AtIncident {
  gymId: string;
  incidentId: string;
}

export const Signature = Name.meta({ description: 'The name that is put under it' });

export const Suspicion = z
  .strictObject({
    athleteId: Id,
    edition: z.enum(EDITIONS).default('2023').meta({ description: 'Of the published list that the codes are for' }),
    observed: z.array(z.enum(OBSERVATIONS)).max(20).meta({
      description: 'What was seen, in neutral codes: each is a red flag. May be empty: suspected all the same',
    }),
  })
  .meta({ id: 'ConcussionSuspicion', description: 'Stops the athlete’s check-in to activity at once' });
export type Suspicion = z.output<typeof Suspicion>;

const Code = (what: string) =>
  z
    .int()
    .min(0)
    .max(9999)
    .nullable()
    .default(null)
    .meta({ description: `${what} (NEISS); 0 is a value, null is not coded` });
const Witness = z.strictObject({ name: Name, said: Text(2000) });
const WhoWhen = z.strictObject({ who: Name, at: Instant });
export const Completion = z
  .strictObject({
    stationId: Id.nullable()
      .default(null)
      .meta({ description: 'A station of the plan version that the block was taught from' }),
    skillId: Id.nullable().default(null),
    skillWas: z.enum(['new', 'known']).nullable().default(null),
    handsOn: z.boolean().nullable().default(null).meta({ description: 'Was it spotted by hand at that moment?' }),
    setUpAsPlanned: z.boolean().nullable().default(null),
    setUpNote: Text(1000).default(''),
    injuries: z
      .array(
        z.strictObject({
          personId: Id.meta({ description: 'One of the note’s people' }),
          bodyPart: Code('Body part'),
          diagnosis: Code('Diagnosis'),
          disposition: Code('Disposition'),
          product: Code('Activity or apparatus'),
          daysOut: z
            .int()
            .min(0)
            .max(3650)
            .nullable()
            .default(null)
            .meta({ description: 'Whole days out; the day itself is day 0' }),
        }),
      )
      .max(30)
      .default([])
      .meta({ description: 'Each diagnosis on its own; several of one event count once' }),
    takenToHospital: z.boolean().nullable().default(null).meta({ description: 'From the scene, for treatment' }),
    witnesses: z.array(Witness).max(20).default([]),
    acknowledged: WhoWhen.nullable().default(null).meta({ description: 'The guardian who has acknowledged it' }),
    familyCalled: z
      .strictObject({ ...WhoWhen.shape, said: Text(2000) })
      .nullable()
      .default(null)
      .meta({ description: 'A later call' }),
  })
  .meta({ id: 'IncidentCompletion' });
export type Completion = z.output<typeof Completion>;

export const NewAmendment = z
  .strictObject({
    what: z.enum(AMENDMENTS).exclude(['review']),
    said: Words(4000),
    who: Name.nullable().default(null).meta({ description: 'Who was told or called, or has acknowledged it' }),
    at: Instant.nullable().default(null).meta({ description: 'When that was' }),
    completion: Completion.nullable()
      .default(null)
      .meta({ description: 'For what: completion; in place of the one before' }),
    readers: z
      .array(Id)
      .max(MOST.readers)
      .default([])
      .meta({ description: 'For what: readers; accounts that may read the concern as well, named by one who may' }),
    signedAs: Signature,
  })
  .meta({ id: 'NewAmendment' });
export type NewAmendment = z.output<typeof NewAmendment>;
export const Amendment = z
  .strictObject({
    id: Id,
    what: z.enum(AMENDMENTS),
    said: Text(4000),
    who: Name.nullable(),
    at: Instant.nullable(),
    completion: Completion.nullable(),
    readers: z.array(Id).max(MOST.readers),
    keepUntil: Day.nullable().meta({ description: 'Of a review' }),
    signedAs: Name,
    writtenBy: Id,
    writtenAt: Instant,
  })
  .meta({ id: 'Amendment' });
export type Amendment = z.output<typeof Amendment>;

export const NewFollowUp = z.strictObject({ what: Line(500), dueOn: Day }).meta({ id: 'NewFollowUp' });
export const FollowUpDone = z.strictObject({ outcome: Line(500) }).meta({ id: 'FollowUpDone' });
export const FollowUp = z
  .strictObject({
    id: Id,
    incidentId: Id,
    what: Line(500),
    dueOn: Day,
    doneAt: Instant.nullable(),
    outcome: Line(500).nullable(),
    revision: Revision,
  })
  .meta({ id: 'FollowUp' });
export type FollowUp = z.output<typeof FollowUp>;
export const FollowUpPage = page(FollowUp, 'FollowUpPage');
export const FollowUpQuery = z.strictObject({
  ...PageQuery,
  open: flag.optional().meta({ description: 'Only what is not done' }),
  dueBy: Day.optional().meta({ description: 'Due on this day or before' }),
});
export type FollowUpQuery = z.output<typeof FollowUpQuery>;

export const NewAttachment = z
  .strictObject({
    name: Line(200),
    content: z
      .string()
      .min(4)
      .max(MOST_BASE64)
      .regex(/^[A-Za-z0-9+/]+={0,2}$/, 'Expected Base64 (RFC 4648).')
      .meta({ description: 'The bytes, in Base64; at most 720 KiB of them', example: 'JVBERi0xLjcK' }),
  })
  .meta({ id: 'NewAttachment', description: 'A JPEG, PNG, WebP, HEIC or PDF file, known by its content' });
export type NewAttachment = z.output<typeof NewAttachment>;
const attachment = {
  id: Id,
  name: Line(200),
  mediaType: z.enum(MEDIA_TYPES),
  size: z.int().min(1).max(1_048_576).meta({ description: 'Bytes' }),
  sha256: z.string().length(64),
  attachedAt: Instant,
};
export const Attachment = z.strictObject(attachment).meta({ id: 'Attachment' });
export type Attachment = z.output<typeof Attachment>;
export const AttachmentContent = z
  .strictObject({ ...attachment, content: z.string().max(MOST_BASE64).meta({ description: 'Base64' }) })
  .meta({ id: 'AttachmentContent' });

export const NewClearance = z
  .strictObject({
    professional: Name,
    profession: Line(120).meta({ description: 'As on the licence', example: 'physician' }),
    licence: Line(120).meta({ description: 'Its number' }),
    licensedBy: Line(200).meta({ description: 'Who gave it' }),
    examinedOn: Day,
    stages: z
      .array(z.strictObject({ words: Words(1000), notBefore: Day.nullable() }))
      .max(20)
      .meta({ description: 'The staged return in the clinician’s own words and order; none: without stages' }),
    attachmentId: Id.nullable().default(null).meta({ description: 'The paper, attached to this note' }),
  })
  .meta({ id: 'NewClearance' });
export type NewClearance = z.output<typeof NewClearance>;
export const Clearance = z
  .strictObject({
    id: Id,
    professional: Name,
    profession: Line(120),
    licence: Line(120),
    licensedBy: Line(200),
    examinedOn: Day,
    stages: z.array(z.strictObject({ words: Text(1000), notBefore: Day.nullable() })).max(20),
    attachmentId: Id.nullable(),
    recordedAt: Instant,
  })
  .meta({ id: 'Clearance' });
export type Clearance = z.output<typeof Clearance>;

export const Concussion = z
  .strictObject({
    id: Id,
    athleteId: Id,
    edition: z.enum(EDITIONS),
    observed: z.array(z.string().max(100)).max(20),
    suspectedAt: Instant,
    cautions: z.array(z.string().max(500)).max(20).meta({ description: 'What to do now; no medical advice' }),
    clearance: Clearance.nullable().meta({ description: 'Null: check-in to activity is stopped' }),
  })
  .meta({ id: 'SuspectedConcussion' });
export type Concussion = z.output<typeof Concussion>;

const CodeTable = (description: string) =>
  z
    .array(z.strictObject({ code: z.int().min(0).max(9999), label: z.string().max(120) }))
    .max(100)
    .meta({ description });
export const InjuryCodes = z
  .strictObject({
    source: z.string().max(300),
    bodyPart: CodeTable('Body parts; 0 is "internal"'),
    diagnosis: CodeTable('Diagnoses'),
    disposition: CodeTable('What became of it; 0 is "no injury", and there is no 3 and no 7'),
    product: CodeTable('Activity or apparatus; to be read with the year of its note'),
    location: z
      .int()
      .min(0)
      .max(9)
      .meta({ description: 'Of everything that happens in a gym: sports or recreation place' }),
    observations: z
      .array(z.strictObject({ edition: z.enum(EDITIONS), code: z.string().max(100) }))
      .max(50)
      .meta({
        description: 'What may be seen after a knock, in our own neutral words; each a red flag of that edition',
      }),
  })
  .meta({ id: 'InjuryCodes' });
