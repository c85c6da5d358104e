import { BACK_HANDSPRING, FORWARD_ROLL, FREEZE_LANDINGS } from './diagrams.ts';
import type { DrillDetails } from './drill-details.ts';

const LITTLE: DrillDetails['levels'] = [
  ['Hand in hand', 'Side by side'],
  ['First steps', 'Next steps'],
];
const FROM_SCHOOL: DrillDetails['levels'] = [
  ['Beginners', 'Confident'],
  ['First stage', 'Third stage'],
];

/** What to look for, what it needs, and for whom it is: floor and soft shapes. */
export const DETAILS_ON_THE_FLOOR: Record<string, DrillDetails> = {
  'Dish and banana rocks': {
    lookFors: [
      [
        'Dish',
        'Lower back pressed down, toes and head just off',
        'A gap under the back',
        'Squash the ant under your back',
      ],
      ['Change', 'Rolls over without hands or feet touching', 'Falls flat between shapes', 'Stay a tight parcel'],
    ],
  },
  'Log roll along the lines': {
    levels: LITTLE,
    lookFors: [
      ['Start', 'Arms by the ears, legs glued', 'Elbows bent, feet apart', 'Be a pencil in its box'],
      ['Roll', 'Hips and shoulders turn together', 'Feet lead and the road bends', 'Turn your tummy first'],
    ],
    needs: [{ piece: 'Long mat' }],
  },
  'Egg roll': {
    levels: [...LITTLE, ['Beginners', 'Beginners']],
    lookFors: [['Roll', 'Knees stay hugged all the way', 'Opens when on the back', 'Do not crack the egg']],
  },
  'Rock and stand': {
    lookFors: [
      ['Rock back', 'Round back, chin tucked', 'Head bumps the mat', 'Look at your belt'],
      ['Stand', 'Heels close to the bottom, arms forward', 'Pushes up with the hands', 'Reach for my hands'],
    ],
  },
  'Forward roll down a wedge': {
    ifItGoesWrong: 'Stop on your back, roll off the wedge to the side, and walk round the cones.',
    levels: [
      ['First steps', 'Next steps'],
      ['Beginners', 'Improvers'],
    ],
    lookFors: [
      ['Hands', 'Flat, as wide as the shoulders', 'Fingers turned in', 'Two starfish hands'],
      ['Over', 'Back of the head, then shoulders', 'Top of the head on the wedge', 'Look at your tummy'],
      ['Finish', 'Feet under, stands by itself', 'Legs cross to stand', 'Feet like a parked car'],
    ],
    needs: [{ piece: 'Wedge' }, { piece: 'Thin mat', amount: 2 }, { piece: 'Cone', amount: 4 }],
    diagram: FORWARD_ROLL,
  },
  'Forward roll on the flat': {
    levels: FROM_SCHOOL,
    lookFors: [
      ['Over', 'Hips high before the head goes under', 'Sits into the roll', 'Push the floor away with your feet'],
      ['Stand', 'Arms forward, no hands', 'Hands push behind', 'Throw your hands to the wall'],
    ],
    needs: [{ piece: 'Long mat' }],
    underWay: true,
  },
  'Backward roll down a wedge': {
    lookFors: [
      ['Sit', 'Close to the heels, chin in', 'Falls back flat', 'Sit behind your heels'],
      ['Hands', 'Both flat by the ears, thumbs in', 'One hand late', 'Two waiters with trays'],
    ],
    needs: [{ piece: 'Wedge' }, { piece: 'Thin mat', amount: 2 }],
  },
  'Wall walk to handstand': {
    levels: FROM_SCHOOL,
    lookFors: [
      ['Up', 'Small steps, hands follow', 'Back arches off the wall', 'Ribs in'],
      ['Down', 'Walks down before it shakes', 'Drops the feet', 'Leave while you still feel strong'],
    ],
  },
  'Kick to handstand': {
    lookFors: [
      ['Step', 'Long, over a bent front knee', 'Short, hands far away', 'Reach over the puddle'],
      ['Kick', 'Arms stay by the ears', 'Shoulders fall forward', 'Push the floor tall'],
    ],
  },
  'Cartwheel along a line': {
    levels: FROM_SCHOOL,
    lookFors: [
      ['Hands', 'One after the other, both on the line', 'Land together', 'Hand, hand, foot, foot'],
      ['Over', 'Legs straight above the hips', 'Feet go round the side', 'Kick the ceiling'],
    ],
    underWay: true,
  },
  'Bridge and rock': {
    lookFors: [['Push', 'Shoulders over hands, arms straight', 'Weight in the feet, arms bent', 'Open your armpits']],
  },
  'Back handspring over a barrel': {
    ifItGoesWrong: 'Tuck the chin and stay with the barrel: the spotter rolls it back. Nobody steps in from the side.',
    levels: [['Second stage', 'Third stage']],
    lookFors: [
      ['Sit', 'Back against the barrel, knees behind the toes', 'Jumps up instead of back', 'Sit on the high chair'],
      ['Reach', 'Long arms by the ears', 'Throws the head', 'Hands see the floor first'],
      ['Land', 'Feet together, chest up', 'Knees on the mat', 'Snap your feet down'],
    ],
    needs: [
      { piece: 'Barrel', fit: { lowerByCm: 40, higherByCm: 0, raise: 'Thick mat', under: 'piece' } },
      { piece: 'Thick mat', amount: 2 },
    ],
    diagram: BACK_HANDSPRING,
  },
  'Freeze landings': {
    lookFors: [['Land', 'Feet apart, knees over toes, still for three', 'Knees knock, or runs on', 'Stick like glue']],
    needs: [
      { piece: 'Low block', amount: 2 },
      { piece: 'Thick mat', amount: 2 },
    ],
    diagram: FREEZE_LANDINGS,
  },
  'Tunnel and steps': { levels: LITTLE, underWay: true },
  'Stepping stones': { levels: LITTLE, needs: [{ piece: 'Spot', amount: 8 }] },
  'Jump from the small block': {
    levels: LITTLE,
    lookFors: [['Land', 'Two feet, bent knees', 'One foot after the other', 'Land like a frog']],
    needs: [{ piece: 'Low block' }, { piece: 'Thick mat' }],
  },
  'Tip over the barrel': {
    levels: [['First steps', 'Next steps']],
    lookFors: [['Tip', 'Both hands on the mat before the head', 'Holds on to the barrel', 'Hands go to find the mat']],
    needs: [{ piece: 'Barrel' }, { piece: 'Thick mat' }],
  },
};
