import fc from 'fast-check';
import { DirectedGraph } from 'graphology';
import { hasCycle, willCreateCycle } from 'graphology-dag';
import { bidirectional, singleSourceLength } from 'graphology-shortest-path/unweighted.js';
import { expect, test } from 'vitest';
import { circleWith, connected, ledTo, onCircles, reachable, type Step, shortestWay } from './progression-graph.ts';

// The judge is graphology, a graph library that shares nothing with what it judges.

const NAMES = [...'abcdefgh'];
const name = fc.constantFrom(...NAMES);
/** Any steps at all, circles among them. */
const anySteps = fc.uniqueArray(fc.record({ easierId: name, harderId: name }), {
  maxLength: 20,
  selector: ({ easierId, harderId }) => `${easierId} ${harderId}`,
});
/** Steps that only ever lead forwards in the alphabet: no circle. */
const stepsWithoutCircle = anySteps.map((steps) => steps.filter(({ easierId, harderId }) => easierId < harderId));

function graphOf(steps: readonly Step[]): DirectedGraph {
  const graph = new DirectedGraph({ allowSelfLoops: true });
  for (const one of NAMES) graph.addNode(one);
  for (const { easierId, harderId } of steps) graph.addDirectedEdge(easierId, harderId);
  return graph;
}
const isStep = (steps: readonly Step[], from: string | undefined, to: string | undefined) =>
  steps.some(({ easierId, harderId }) => easierId === from && harderId === to);
const isWay = (steps: readonly Step[], way: readonly string[]) =>
  way.slice(1).every((to, index) => isStep(steps, way[index], to));

test('a step closes a circle just where the library says so, and the circle named is one', () => {
  fc.assert(
    fc.property(stepsWithoutCircle, name, name, (steps, easierId, harderId) => {
      const circle = circleWith(steps, { easierId, harderId });
      const already = isStep(steps, easierId, harderId);
      expect(circle !== null).toBe(!already && willCreateCycle(graphOf(steps), easierId, harderId));
      if (circle === null) return;
      expect([circle[0], circle.at(-1)]).toEqual([harderId, easierId]);
      expect(isWay(steps, circle)).toBe(true);
    }),
  );
});

test('the shortest way is as short as the library’s from the best start to the best goal, and is a way', () => {
  const some = fc.uniqueArray(name, { minLength: 1, maxLength: 3 });
  fc.assert(
    fc.property(anySteps, some, some, (steps, starts, goals) => {
      const graph = graphOf(steps);
      const ways = starts.flatMap((start) => goals.map((goal) => bidirectional(graph, start, goal)));
      const lengths = ways.flatMap((way) => (way === null ? [] : [way.length]));
      const way = shortestWay(steps, starts, new Set(goals));
      expect(way?.length ?? null).toBe(lengths.length > 0 ? Math.min(...lengths) : null);
      if (way === null) return;
      expect(isWay(steps, way)).toBe(true);
      expect(starts).toContain(way[0]);
      expect(goals).toContain(way.at(-1));
      expect(way).toEqual(shortestWay(steps.toReversed(), starts.toReversed(), new Set(goals)));
    }),
  );
});

test('what is harder lies as many steps away as the library counts; what is easier, the other way round', () => {
  fc.assert(
    fc.property(stepsWithoutCircle, name, (steps, start) => {
      const counted = Object.entries(singleSourceLength(graphOf(steps), start)).filter(([id]) => id !== start);
      expect([...reachable(steps, start, 'harder')].sort()).toEqual(counted.sort());
      const turned = steps.map(({ easierId, harderId }) => ({ easierId: harderId, harderId: easierId }));
      expect(reachable(turned, start, 'easier')).toEqual(reachable(steps, start, 'harder'));
    }),
  );
});

test('drills hang together when each is reached from the other along steps taken either way', () => {
  fc.assert(
    fc.property(anySteps, name, name, (steps, a, b) => {
      const eitherWay = graphOf([]);
      for (const { easierId, harderId } of steps) {
        eitherWay.mergeDirectedEdge(easierId, harderId);
        eitherWay.mergeDirectedEdge(harderId, easierId);
      }
      expect(connected(steps, a).has(b)).toBe(bidirectional(eitherWay, a, b) !== null);
    }),
  );
});

test('something leads to a drill that has a step before it', () => {
  fc.assert(
    fc.property(anySteps, (steps) => {
      const graph = graphOf(steps);
      expect([...ledTo(steps)].sort()).toEqual(NAMES.filter((one) => graph.inDegree(one) > 0));
    }),
  );
});

test('steps on circles are found exactly where there is a circle, and none that is on one is left out', () => {
  fc.assert(
    fc.property(anySteps, (steps) => {
      const found = onCircles(steps);
      expect(found.length > 0).toBe(hasCycle(graphOf(steps)));
      const round = ({ easierId, harderId }: Step) => bidirectional(graphOf(steps), harderId, easierId) !== null;
      expect(steps.filter((one) => round(one) && !found.includes(one))).toEqual([]);
    }),
  );
});
