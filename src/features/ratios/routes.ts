import { created, ok, type Route, route } from '../../platform/http/route.ts';
import { GymRef } from '../../platform/http/wire.ts';
import { addRule } from './add-rule.ts';
import { adoptStandard } from './adopt-standard.ts';
import { addVersion, retireRule } from './change-rule.ts';
import * as repo from './repo.ts';
import {
  GymRuleRef,
  NewRatioRule,
  NewRules,
  RatioRulePage,
  RatioStandard,
  RatioStandardList,
  RuleQuery,
  RuleRef,
  RuleRetirement,
  SettledRatioRule,
  SettledRatioRules,
  StandardRef,
  WholeRatioRule,
} from './schema.ts';
import { getStandard, listStandards } from './standards.ts';
import { trialRoutes } from './trial-routes.ts';

const tag = 'ratio rules';
const read = 'ratios.read';

// What the franchise's rules and a gym's own have in common.
const newVersion = {
  method: 'post',
  tag,
  body: NewRatioRule,
  returns: { 201: SettledRatioRule },
  problems: ['looser-rule', 'conflict'],
  dryRun: true,
  ifMatch: true,
} as const;
const retirement = {
  method: 'post',
  tag,
  body: RuleRetirement,
  returns: { 200: SettledRatioRule },
  problems: ['conflict'],
  dryRun: true,
  ifMatch: true,
} as const;

export const ratioRoutes: Route[] = [
  route({
    method: 'get',
    path: '/ratio-standards',
    name: 'listRatioStandards',
    tag,
    summary: 'The published adult-to-child tables, ready to adopt',
    description: 'Restated as numbers, each with its source. Editions age, and local rules come first.',
    permission: read,
    returns: { 200: RatioStandardList },
  }).handle(async () => ok({ items: listStandards() })),

  route({
    method: 'get',
    path: '/ratio-standards/{standardId}',
    name: 'getRatioStandard',
    tag,
    summary: 'One published table, as rules',
    permission: read,
    params: StandardRef,
    returns: { 200: RatioStandard },
  }).handle(async (_ctx, { params }) => ok(getStandard(params.standardId))),

  route({
    method: 'get',
    path: '/ratio-rules',
    name: 'listRatioRules',
    tag,
    summary: 'The franchise’s rules and those that gyms added',
    permission: read,
    query: RuleQuery,
    returns: { 200: RatioRulePage },
    problems: ['not-found'],
  }).handle(async (ctx, { query }) => ok(await repo.listRules(ctx, query, query))),

  route({
    method: 'post',
    path: '/ratio-rules',
    name: 'addRatioRules',
    tag,
    summary: 'Adopt a published table by name, or write a rule of the franchise',
    description: 'Blocks that it uncovers lose their confirmation; the answer says which. Ask first with `dryRun`.',
    permission: 'ratios.write',
    body: NewRules,
    returns: { 201: SettledRatioRules },
    dryRun: true,
  }).handle(async (ctx, { body }) => {
    if ('standard' in body) return created(await adoptStandard(ctx, body));
    const { settled, ...rule } = await addRule(ctx, null, body);
    return created({ rules: [rule], settled });
  }),

  route({
    method: 'get',
    path: '/ratio-rules/{ruleId}',
    name: 'getRatioRule',
    tag,
    summary: 'One rule with all its versions',
    permission: read,
    params: RuleRef,
    returns: { 200: WholeRatioRule },
    etag: true,
  }).handle(async (ctx, { params }) => ok(await repo.getRule(ctx, params.ruleId))),

  route({
    ...newVersion,
    path: '/ratio-rules/{ruleId}/versions',
    name: 'changeRatioRule',
    summary: 'Change a rule: a new version, in force from a day that is not past',
    permission: 'ratios.write',
    params: RuleRef,
  }).handle(async (ctx, { params, body, ifMatch }) => created(await addVersion(ctx, params, ifMatch, body))),

  route({
    ...retirement,
    path: '/ratio-rules/{ruleId}/retire',
    name: 'retireRatioRule',
    summary: 'End a rule from a day that is not past',
    permission: 'ratios.write',
    params: RuleRef,
  }).handle(async (ctx, { params, body, ifMatch }) => ok(await retireRule(ctx, params, ifMatch, body.from))),

  route({
    method: 'post',
    path: '/gyms/{gymId}/ratio-rules',
    name: 'addGymRatioRule',
    tag,
    summary: 'Add a rule at one gym',
    description:
      'It stands beside the franchise’s rules, so it can only ask for more; one that asks for less is refused.',
    permission: 'ratios.add',
    params: GymRef,
    body: NewRatioRule,
    returns: { 201: SettledRatioRule },
    problems: ['looser-rule'],
    dryRun: true,
    etag: true,
  }).handle(async (ctx, { params, body }) => created(await addRule(ctx, params.gymId, body))),

  route({
    ...newVersion,
    path: '/gyms/{gymId}/ratio-rules/{ruleId}/versions',
    name: 'changeGymRatioRule',
    summary: 'Change a rule that the gym added: a new version, from a day that is not past',
    permission: 'ratios.add',
    params: GymRuleRef,
  }).handle(async (ctx, { params, body, ifMatch }) => created(await addVersion(ctx, params, ifMatch, body))),

  route({
    ...retirement,
    path: '/gyms/{gymId}/ratio-rules/{ruleId}/retire',
    name: 'retireGymRatioRule',
    summary: 'End a rule that the gym added, from a day that is not past',
    permission: 'ratios.add',
    params: GymRuleRef,
  }).handle(async (ctx, { params, body, ifMatch }) => ok(await retireRule(ctx, params, ifMatch, body.from))),

  ...trialRoutes,
];
