import { type Context, scopesAt } from '../../platform/context.ts';
import type { Sight } from './plans-repo.ts';

/** Everybody reads what is published; drafts are for those who write them. */
export const sightOf = (ctx: Context): Sight =>
  scopesAt(ctx, 'curriculum.write', null).size > 0 ? 'drafts-too' : 'published';
