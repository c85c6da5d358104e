import { attendanceRoutes } from './features/attendance/routes.ts';
import { auditRoutes } from './features/audit/routes.ts';
import { curriculumRoutes } from './features/curriculum/routes.ts';
import { gymRoutes } from './features/gyms/routes.ts';
import { identityRoutes } from './features/identity/routes.ts';
import { incidentRoutes } from './features/incidents/routes.ts';
import { boardRoutes } from './features/live/board-routes.ts';
import { daySheetRoutes } from './features/live/day-sheet-routes.ts';
import { streamRoutes } from './features/live/stream-routes.ts';
import { peopleRoutes } from './features/people/routes.ts';
import { ratioRoutes } from './features/ratios/routes.ts';
import { scheduleRoutes } from './features/schedule/routes.ts';
import { staffingRoutes } from './features/staffing/routes.ts';
import { teachingRoutes } from './features/teaching/routes.ts';
import type { Route } from './platform/http/route.ts';

/** Everything that can be called. */
export const routes: readonly Route[] = [
  ...identityRoutes,
  ...auditRoutes,
  ...gymRoutes,
  ...peopleRoutes,
  ...curriculumRoutes,
  ...ratioRoutes,
  ...scheduleRoutes,
  ...staffingRoutes,
  ...teachingRoutes,
  ...attendanceRoutes,
  ...incidentRoutes,
  ...boardRoutes,
  ...streamRoutes,
  ...daySheetRoutes,
];
