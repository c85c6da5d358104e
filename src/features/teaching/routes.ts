import type { Route } from '../../platform/http/route.ts';
import { adaptationRoutes } from './adaptation-routes.ts';
import { planningRoutes } from './planning-routes.ts';
import { recordRoutes } from './record-routes.ts';
import { sheetRoutes } from './sheet-routes.ts';

export const teachingRoutes: Route[] = [...sheetRoutes, ...adaptationRoutes, ...recordRoutes, ...planningRoutes];
