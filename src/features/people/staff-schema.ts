import { z } from 'zod';
import { Day, Grade, GymRef, Id, Line, page, Reason, Revision } from '../../platform/http/wire.ts';
import { Contacts, names, openDays, personChanges, span, WhichPerson, withSettled } from './schema.ts';

export const StaffRef = GymRef.extend({ personId: Id });
export type StaffRef = z.output<typeof StaffRef>;
export const EmploymentRef = StaffRef.extend({ employmentId: Id });
export type EmploymentRef = z.output<typeof EmploymentRef>;
export const QualificationRef = StaffRef.extend({ qualificationId: Id });
export type QualificationRef = z.output<typeof QualificationRef>;
export const SignOffRef = StaffRef.extend({ signOffId: Id });
export type SignOffRef = z.output<typeof SignOffRef>;

const grade = Grade.meta({ description: 'Which of the kind’s grades; 1 is the first' });
const evidence = Line(300).meta({ description: 'What was seen: a certificate’s number, who checked it' });

export const NewQualification = z
  .strictObject({ kindId: Id, grade, ...openDays, evidence })
  .meta({ id: 'NewQualification' });
export type NewQualification = z.input<typeof NewQualification>;
export const Qualification = z
  .strictObject({
    id: Id,
    kindId: Id,
    kind: Line(120),
    grade,
    ...span,
    evidence: evidence.nullable().meta({ description: 'Null without the permission staff.write' }),
    revokedFrom: Day.nullable().meta({ description: 'Not held from this day on' }),
    revokedWhy: Reason.nullable().meta({ description: 'Null without the permission staff.write, too' }),
  })
  .meta({ id: 'Qualification' });
export type Qualification = z.output<typeof Qualification>;
export const ChangedQualification = withSettled(Qualification, 'ChangedQualification');
export const Revocation = z.strictObject({ from: Day, reason: Reason }).meta({ id: 'Revocation' });
export type Revocation = z.output<typeof Revocation>;

export const SignOffLevel = z.enum(['watched', 'helped', 'alone']).meta({
  id: 'SignOffLevel',
  description: 'How far a coach has been signed off to spot a skill; each includes the ones before',
});
export const NewSignOff = z
  .strictObject({
    skillId: Id,
    level: SignOffLevel,
    byPersonId: Id.optional().meta({ description: 'Who watched it; left out, you' }),
    ...openDays,
  })
  .meta({ id: 'NewSignOff' });
export type NewSignOff = z.input<typeof NewSignOff>;
export const SignOff = z
  .strictObject({ id: Id, skillId: Id, skill: Line(120), level: SignOffLevel, byPersonId: Id.nullable(), ...span })
  .meta({ id: 'SignOff' });
export type SignOff = z.output<typeof SignOff>;
export const ChangedSignOff = withSettled(SignOff, 'ChangedSignOff');

export const NewEmployment = z.strictObject(openDays).meta({ id: 'NewEmployment' });
export type NewEmployment = z.input<typeof NewEmployment>;
export const Employment = z.strictObject({ id: Id, ...span }).meta({ id: 'Employment' });
export type Employment = z.output<typeof Employment>;
export const ChangedEmployment = withSettled(Employment, 'ChangedEmployment');

export const NewStaff = z
  .strictObject({
    person: WhichPerson,
    born: Day,
    employment: NewEmployment,
    qualifications: z.array(NewQualification).max(30).default([]),
  })
  .meta({ id: 'NewStaff' });
export type NewStaff = z.input<typeof NewStaff>;
export const StaffChanges = z
  .strictObject({ ...personChanges, born: Day })
  .partial()
  .meta({ id: 'StaffChanges' });
export type StaffChanges = z.output<typeof StaffChanges>;

const HAS_LEFT = 'for a gym that they have left, unless you manage staff at every gym';
const OR_HAS_LEFT = `or ${HAS_LEFT}`;
const summary = {
  personId: Id,
  ...names,
  employments: z.array(Employment).max(200).meta({ description: 'At this gym' }),
};
export const StaffSummary = z.strictObject(summary).meta({ id: 'StaffSummary' });
export type StaffSummary = z.output<typeof StaffSummary>;
export const StaffPage = page(StaffSummary, 'StaffPage');
export const StaffMember = z
  .strictObject({
    ...summary,
    born: Day.nullable().meta({ description: `Null without the permission staff.write; ${OR_HAS_LEFT}` }),
    qualifications: z
      .array(Qualification)
      .max(500)
      .nullable()
      .meta({ description: `Null ${HAS_LEFT}` }),
    signOffs: z
      .array(SignOff)
      .max(2000)
      .nullable()
      .meta({ description: `Null ${HAS_LEFT}` }),
    contacts: Contacts.nullable().meta({ description: `Null without the permission contacts.read; ${OR_HAS_LEFT}` }),
    revision: Revision,
  })
  .meta({ id: 'StaffMember' });
export type StaffMember = z.output<typeof StaffMember>;
export const ChangedStaffMember = withSettled(StaffMember, 'ChangedStaffMember');
export type ChangedStaffMember = z.output<typeof ChangedStaffMember>;
