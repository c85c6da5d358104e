import type { Route } from '../../platform/http/route.ts';
import { deskRoutes } from './desk-routes.ts';
import { floorRoutes } from './floor-routes.ts';
import { offlineRoutes } from './offline-routes.ts';
import { pastRoutes } from './past-routes.ts';

export const attendanceRoutes: Route[] = [...deskRoutes, ...floorRoutes, ...offlineRoutes, ...pastRoutes];
