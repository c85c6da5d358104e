export { events } from '../platform/events/table.ts';
export { idempotencyKeys } from '../platform/http/idempotency-table.ts';
export * from './curriculum.ts';
export * from './gyms.ts';
export * from './identity.ts';
export * from './people.ts';
export * from './schedule.ts';
export * from './staffing.ts';
