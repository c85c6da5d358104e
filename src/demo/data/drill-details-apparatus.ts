import { LOW_BEAM, SQUAT_ON } from './diagrams.ts';
import type { DrillDetails } from './drill-details.ts';

const EVERYWHERE: DrillDetails['levels'] = [
  ['First steps', 'Next steps'],
  ['Beginners', 'Confident'],
];
const FROM_IMPROVERS: DrillDetails['levels'] = [
  ['Improvers', 'Confident'],
  ['First stage', 'Third stage'],
];

/** What to look for, what it needs, and for whom it is: vault, bars and beam. */
export const DETAILS_ON_APPARATUS: Record<string, DrillDetails> = {
  'Three steps and punch': {
    lookFors: [
      ['Run', 'Eyes on the board, then up', 'Little steps before the board', 'Same steps every time'],
      ['Punch', 'Two feet at once, in the middle', 'One foot, then the other', 'Clap with your feet'],
    ],
    needs: [{ piece: 'Board' }, { piece: 'Thick mat' }],
  },
  'Punch to a straight jump': {
    lookFors: [['Flight', 'Tall and tight, arms by the ears', 'Pikes at the top', 'Hang from a hook in the ceiling']],
    needs: [{ piece: 'Board' }, { piece: 'Thick mat', amount: 2 }],
  },
  'Squat on to a low block': {
    ifItGoesWrong: 'If the feet do not get up, stay on the hands and step back down. The spotter has the upper arm.',
    levels: [
      ['Beginners', 'Confident'],
      ['First stage', 'Second stage'],
    ],
    lookFors: [
      ['Hands', 'Flat, before the feet leave', 'Feet and hands together', 'Hands knock first'],
      ['Squat', 'Knees between straight arms, stops', 'Knees outside, falls forward', 'Freeze on top'],
    ],
    needs: [{ piece: 'Board' }, { piece: 'Low block', amount: 2 }, { piece: 'Thick mat', amount: 2 }],
    diagram: SQUAT_ON,
  },
  'Squat on, jump off': {
    levels: FROM_IMPROVERS,
    lookFors: [['Off', 'Counts one, straight jump, freezes', 'Runs through', 'Stop, then fly']],
    needs: [{ piece: 'Board' }, { piece: 'High block' }, { piece: 'Thick mat', amount: 2 }],
  },
  'Fall flat from handstand': {
    lookFors: [['Fall', 'One straight line to the whole back', 'Hips bend on the way', 'Fall like a tree']],
    needs: [{ piece: 'Thick mat', amount: 3 }],
  },
  'Vault to flat back': {
    lookFors: [
      ['Hands', 'Straight arms, shoulders open', 'Shoulders past the hands', 'Push as you arrive'],
      ['Over', 'Heels lead, body tight', 'Pikes over the top', 'Heels, heels'],
    ],
    needs: [{ piece: 'Board' }, { piece: 'Thick mat', amount: 4 }],
  },
  'Long hang count': {
    levels: EVERYWHERE,
    lookFors: [['Hang', 'Thumbs around, shoulders by the ears, still', 'Swings the legs', 'A wet towel on the line']],
    needs: [{ piece: 'Thin mat', amount: 2 }],
  },
  'Tuck hang': {
    lookFors: [['Knees', 'Come up together and slowly', 'Kicks to get them up', 'Lift as if in treacle']],
  },
  'Small casts': {
    lookFors: [
      ['Back', 'Hips leave the bar, arms straight', 'Elbows bend', 'Push the bar to your knees'],
      ['Return', 'Hips come back softly', 'Drops on the bar', 'Catch it with your hips'],
    ],
  },
  'Pullover up the slope': {
    levels: [
      ['Beginners', 'Improvers'],
      ['First stage', 'First stage'],
    ],
    lookFors: [
      ['Pull', 'Chin to the bar and held there', 'Arms straighten', 'Keep the bar in your pocket'],
      ['Over', 'Hips meet the bar, then legs', 'Legs kick away', 'Feet to the wall behind'],
    ],
    needs: [{ piece: 'Wedge' }, { piece: 'Thick mat' }],
  },
  'Pullover from two feet': { levels: FROM_IMPROVERS },
  'Cast to hip circle': {
    lookFors: [['Drop', 'Shoulders back, hips stay on the bar', 'Lets go with the hips', 'Glue on your hips']],
  },
  'Heel to toe on the floor line': {
    levels: EVERYWHERE,
    lookFors: [['Step', 'Heel touches toe, eyes at the end', 'Looks at the feet', 'Look where you are going']],
    height: 'floor',
  },
  'Forwards and backwards on the low beam': {
    lookFors: [
      ['Step', 'Toe feels for the beam first', 'Steps flat and sideways', 'Brush the side of the beam'],
      ['Wobble', 'Arms wide, knees soft', 'Grabs, bends in two', 'Squeeze and wait'],
    ],
    needs: [{ piece: 'Thin mat', amount: 4 }],
    height: 'low',
    diagram: LOW_BEAM,
  },
  'Walk the full-height beam': {
    ifItGoesWrong: 'Step off to the side and bend the knees. Going back to the low beam is as good as going on.',
    levels: FROM_IMPROVERS,
    lookFors: [['Step', 'The same steps as on the low beam', 'Shuffles', 'It is the same beam, only taller']],
    needs: [{ piece: 'Thick mat', amount: 4 }],
    height: 'full',
  },
  'Stork and star': {
    lookFors: [['Stork', 'Hips level, standing leg straight', 'Leans over the leg', 'Grow taller']],
  },
  'Tuck jump off the end': {
    lookFors: [['Land', 'Two feet, frozen, arms forward', 'Falls back to sitting', 'Chest up as you land']],
    needs: [{ piece: 'Thick mat', amount: 2 }],
  },
  'Handstand on the floor beam': {
    levels: [
      ['Confident', 'Confident'],
      ['First stage', 'Third stage'],
    ],
    lookFors: [
      ['Kick', 'Stops short of upright, steps down to the same spot', 'Kicks past', 'Three quarters is plenty'],
    ],
    needs: [{ piece: 'Thick mat', amount: 2 }],
  },
};
