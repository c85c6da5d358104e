interface Days {
  from: string;
  until: string | null;
}

/**
 * The day, from `from` on, on which most are enrolled, and how many that are. The number only grows on a day on which
 * an enrolment begins, so those are the days to look at.
 */
export function fullestDay(enrolled: readonly Days[], from: string): { day: string; enrolled: number } {
  const starts = [from, ...enrolled.map((one) => one.from).filter((day) => day > from)];
  const on = (day: string) => enrolled.filter((one) => one.from <= day && (one.until === null || one.until > day));
  const counts = [...new Set(starts)].sort().map((day) => ({ day, enrolled: on(day).length }));
  return counts.reduce((most, one) => (one.enrolled > most.enrolled ? one : most));
}
