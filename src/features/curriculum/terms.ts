import type { Context } from '../../platform/context.ts';
import { unknownIds } from '../../platform/db/unknown-ids.ts';
import { type Fault, invalid, refuse } from '../../platform/problem.ts';
import { programmes } from '../../tables/curriculum.ts';
import { skills } from '../../tables/people.ts';
import { shiftWeeks } from './shift-weeks.ts';
import { MOST_WEEKS, type NewTerm, type Term, type TermContent, type TermCopy, type TermShift } from './term-schema.ts';
import * as repo from './terms-repo.ts';

/**
 * Refuses a programme, skill or plan that is not there, a plan that does not teach the programme, and weeks that another
 * term of the programme has already.
 */
export async function addTerm(ctx: Context, body: NewTerm): Promise<Term> {
  if ((await unknownIds(ctx, programmes, [body.programmeId])).size > 0) {
    throw invalid('/programmeId', 'This is no programme of the franchise.');
  }
  await refuseWeeks(ctx, body.programmeId, body.weeks);
  await refuseOverlap(ctx, body);
  return written(ctx, await repo.insertTerm(ctx, body), 'curriculum.term-added');
}

/**
 * Puts this in place of all that the term said. Refuses what `addTerm` does, a revision that is not the newest, and to
 * take a week away that a class has reached.
 */
export async function changeTerm(ctx: Context, termId: string, ifMatch: number, body: TermContent): Promise<Term> {
  const { programmeId, weeks } = await getTermAt(ctx, termId, ifMatch);
  if (body.weeks.length < weeks.length) await refuseReached(ctx, termId, body.weeks.length + 1);
  await refuseWeeks(ctx, programmeId, body.weeks);
  await refuseOverlap(ctx, { programmeId, ...body }, termId);
  await repo.updateTerm(ctx, termId, ifMatch, body);
  return written(ctx, termId, 'curriculum.term-changed');
}

/** The same weeks from another Monday on; without their plans, unless they are wanted too. Refuses an overlap. */
export async function copyTerm(ctx: Context, termId: string, { withPlans, ...copy }: TermCopy): Promise<Term> {
  const { programmeId, weeks } = await repo.getTerm(ctx, termId);
  const copied = weeks.map((week) => (withPlans ? week : { ...week, planId: null }));
  const term = { programmeId, ...copy, weeks: copied };
  await refuseWeeks(ctx, programmeId, copied);
  await refuseOverlap(ctx, term);
  return written(ctx, await repo.insertTerm(ctx, term), 'curriculum.term-added');
}

/**
 * Moves the weeks from one on later or earlier. Classes keep the number of their week, so that it refuses weeks that one
 * has reached; and where weeks with something in them are in the way, or the term would get too long or reach the next.
 */
export async function shiftTerm(
  ctx: Context,
  termId: string,
  ifMatch: number,
  { fromWeek, by }: TermShift,
): Promise<Term> {
  const { programmeId, title, startsOn, weeks } = await getTermAt(ctx, termId, ifMatch);
  const shifted = shiftWeeks(weeks, fromWeek, by);
  if (shifted === null) {
    throw refuse('conflict', `There are not ${Math.abs(by)} empty weeks before week ${fromWeek}, or no such week.`);
  }
  await refuseReached(ctx, termId, fromWeek + Math.min(0, by));
  if (shifted.length > MOST_WEEKS) throw refuse('conflict', `A term has at most ${MOST_WEEKS} weeks.`);
  await refuseOverlap(ctx, { programmeId, startsOn, weeks: shifted }, termId);
  await repo.updateTerm(ctx, termId, ifMatch, { title, startsOn, weeks: shifted });
  return written(ctx, termId, 'curriculum.term-changed');
}

/** The term as somebody read it: whoever read an older revision learns that before anything else. */
async function getTermAt(ctx: Context, termId: string, ifMatch: number): Promise<Term> {
  const term = await repo.getTerm(ctx, termId);
  if (term.revision !== ifMatch) throw refuse('changed-meanwhile', 'The term has another revision by now.');
  return term;
}

async function written(ctx: Context, termId: string, name: 'curriculum.term-added' | 'curriculum.term-changed') {
  const term = await repo.getTerm(ctx, termId);
  await ctx.record(name, { subjectId: termId, revision: term.revision }, { termId, programmeId: term.programmeId });
  return term;
}

/** Refuses a change to the weeks from that one on, where a class has come so far. */
async function refuseReached(ctx: Context, termId: string, fromWeek: number): Promise<void> {
  const reached = await repo.weekReached(ctx, termId);
  if (reached < fromWeek) return;
  const free = `Only weeks from ${reached + 1} on can be moved or taken away.`;
  throw refuse('conflict', `A class is at week ${reached} of this term, or laid out from it. ${free}`);
}

/** A class is in one term at a time, so that a week of a programme belongs to one term. */
async function refuseOverlap(
  ctx: Context,
  { programmeId, startsOn, weeks }: Pick<NewTerm, 'programmeId' | 'startsOn' | 'weeks'>,
  except?: string,
): Promise<void> {
  const other = await repo.overlapping(ctx, { programmeId, startsOn, weekCount: weeks.length, except });
  if (!other) return;
  throw refuse(
    'conflict',
    `The term "${other.title}", which begins on ${other.startsOn}, has one of these weeks already: a week of a programme belongs to one term.`,
  );
}

async function refuseWeeks(ctx: Context, programmeId: string, weeks: TermContent['weeks']): Promise<void> {
  const teaching = await repo.plansTeaching(
    ctx,
    programmeId,
    weeks.flatMap(({ planId }) => planId ?? []),
  );
  const unknown = await unknownIds(
    ctx,
    skills,
    weeks.flatMap((week) => week.skills.map(({ skillId }) => skillId)),
  );
  const faults: Fault[] = [];
  for (const [w, { planId, skills: taught }] of weeks.entries()) {
    if (planId !== null && !teaching.has(planId)) {
      faults.push({ pointer: `/weeks/${w}/planId`, detail: 'This is no plan that teaches the programme.' });
    }
    for (const [k, { skillId }] of taught.entries()) {
      const pointer = `/weeks/${w}/skills/${k}/skillId`;
      if (unknown.has(skillId)) faults.push({ pointer, detail: 'This is no skill of the franchise.' });
      if (taught.findIndex((one) => one.skillId === skillId) < k) {
        faults.push({ pointer, detail: 'Name each skill once a week.' });
      }
    }
  }
  const [first] = faults;
  if (first) throw refuse('invalid-request', `${first.pointer}: ${first.detail}`, { errors: faults.slice(0, 100) });
}
