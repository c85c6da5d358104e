import type { Diagram } from '../../features/curriculum/diagram-schema.ts';

// Set-ups as they are drawn on the sheets.

type Piece = Diagram['pieces'][number];
const piece = (
  what: Piece['piece'],
  [x, y]: [number, number],
  [lengthCm, widthCm]: [number, number],
  label: string | null = null,
  turn = 0,
): Piece => ({ piece: what, x, y, lengthCm, widthCm, turn, label });
const arrow = (from: [number, number], to: [number, number], label: string | null = null) => ({
  from: { x: from[0], y: from[1] },
  to: { x: to[0], y: to[1] },
  label,
});
const person = (who: 'athlete' | 'coach', x: number, y: number, label: string | null = null) => ({ who, x, y, label });

export const FORWARD_ROLL: Diagram = {
  title: 'Forward roll down a wedge',
  widthCm: 700,
  depthCm: 320,
  pieces: [
    piece('wedge', [230, 130], [180, 90], 'high end'),
    piece('mat', [420, 130], [200, 100]),
    piece('mat', [570, 130], [100, 200], 'stand up', 90),
    piece('cone', [640, 260], [20, 20]),
    piece('cone', [100, 260], [20, 20], 'way back'),
  ],
  arrows: [arrow([150, 130], [600, 130]), arrow([620, 280], [120, 280])],
  people: [person('coach', 280, 215, 'spotter'), person('athlete', 100, 130), person('athlete', 40, 130, 'waits')],
};

export const BACK_HANDSPRING: Diagram = {
  title: 'Back handspring over a barrel',
  widthCm: 640,
  depthCm: 320,
  pieces: [
    piece('mat', [160, 150], [200, 100]),
    piece('thick-mat', [310, 150], [100, 160], 'raise for tall ones'),
    piece('barrel', [310, 150], [100, 70], 'barrel', 90),
    piece('thick-mat', [460, 150], [200, 100], 'hands, then feet'),
  ],
  arrows: [arrow([200, 70], [540, 70])],
  people: [person('coach', 310, 270, 'spotter'), person('athlete', 230, 150), person('athlete', 40, 150, 'waits here')],
};

export const FREEZE_LANDINGS: Diagram = {
  title: 'Freeze landings',
  widthCm: 520,
  depthCm: 360,
  pieces: [100, 260].flatMap((y) => [
    piece('block', [120, y], [90, 60], 'jump'),
    piece('thick-mat', [300, y], [200, 100], 'freeze'),
  ]),
  arrows: [arrow([180, 40], [380, 40])],
  people: [person('athlete', 40, 100), person('athlete', 40, 260), person('coach', 470, 180)],
};

export const SQUAT_ON: Diagram = {
  title: 'Squat on to a low block',
  widthCm: 900,
  depthCm: 300,
  pieces: [
    piece('springboard', [420, 140], [120, 60], 'board'),
    piece('block', [550, 140], [90, 120], 'two low blocks'),
    piece('thick-mat', [710, 140], [200, 200], 'step off'),
  ],
  arrows: [arrow([100, 140], [340, 140], 'run')],
  people: [person('coach', 560, 240, 'spotter'), person('athlete', 60, 140, 'next one')],
};

export const LOW_BEAM: Diagram = {
  title: 'Low beams side by side',
  widthCm: 640,
  depthCm: 360,
  pieces: [110, 250].flatMap((y) => [
    piece('mat', [220, y], [200, 100]),
    piece('mat', [420, y], [200, 100]),
    piece('beam', [320, y], [400, 10], 'low beam'),
  ]),
  arrows: [arrow([90, 40], [550, 40], 'there forwards, back backwards')],
  people: [person('athlete', 150, 110), person('athlete', 150, 250), person('coach', 320, 180)],
};

const BAR: Diagram = {
  title: 'A bar over a thick mat',
  widthCm: 520,
  depthCm: 320,
  pieces: [piece('thick-mat', [260, 150], [200, 200], 'thick mat'), piece('bar', [260, 150], [240, 10], 'bar', 90)],
  arrows: [arrow([400, 290], [60, 290], 'way back')],
  people: [person('athlete', 200, 150), person('coach', 340, 240), person('athlete', 40, 150, 'waits here')],
};

const BARREL: Diagram = {
  title: 'A barrel against the wall, mats all round',
  widthCm: 520,
  depthCm: 360,
  pieces: [
    piece('thick-mat', [160, 180], [100, 200]),
    piece('thick-mat', [380, 180], [100, 200]),
    piece('barrel', [270, 110], [100, 70], 'to the wall', 90),
  ],
  arrows: [arrow([120, 180], [420, 180])],
  people: [person('coach', 270, 300, 'spotter'), person('athlete', 40, 180, 'waits here')],
};

const BLOCK: Diagram = {
  title: 'Board, block and mats',
  widthCm: 900,
  depthCm: 300,
  pieces: [
    piece('springboard', [400, 140], [120, 60], 'board'),
    piece('block', [530, 140], [90, 120], 'block'),
    piece('thick-mat', [690, 140], [200, 200], 'land'),
  ],
  arrows: [arrow([100, 140], [320, 140], 'run')],
  people: [person('coach', 540, 250), person('athlete', 50, 140, 'next one')],
};

const HILL: Diagram = {
  title: 'A hill to roll down',
  widthCm: 520,
  depthCm: 280,
  pieces: [piece('wedge', [180, 130], [180, 90], 'high end'), piece('mat', [370, 130], [200, 100], 'stand up')],
  arrows: [arrow([100, 220], [460, 220])],
  people: [person('athlete', 40, 130), person('coach', 230, 40)],
};

const ROLLING_LANE: Diagram = {
  title: 'A road to roll along',
  widthCm: 640,
  depthCm: 320,
  pieces: [100, 210].map((y) => piece('mat', [320, y], [400, 100])),
  arrows: [arrow([130, 155], [510, 155], 'roll')],
  people: [person('athlete', 60, 100), person('athlete', 60, 210), person('coach', 580, 155)],
};

const ONE_JUMP: Diagram = {
  title: 'One block to jump from',
  widthCm: 460,
  depthCm: 240,
  pieces: [piece('block', [120, 120], [60, 60], 'jump'), piece('thick-mat', [290, 120], [200, 100], 'land')],
  arrows: [arrow([160, 40], [340, 40])],
  people: [person('athlete', 40, 120), person('coach', 420, 120)],
};

/** How the stations of the plans are drawn, by their set-up in words. */
export const DRAWN: ReadonlyMap<string, Diagram> = new Map([
  ['Low bar, thick mat.', BAR],
  ['Bar at chest height, thick mat.', BAR],
  ['Barrel at sitting height, thick mats all round, one end against the wall.', BARREL],
  ['Board, block at hip height, thick mats behind.', BLOCK],
  ['Two low beams, mats touching.', LOW_BEAM],
  ['One wedge, thin mat at its foot.', HILL],
  ['A wedge with a thin mat at its foot.', HILL],
  ['Two long mats side by side.', ROLLING_LANE],
  ['Two long mats side by side, taped lines as the edges of the road.', ROLLING_LANE],
  ['One small block, a thick mat to land on.', ONE_JUMP],
  ['Two small blocks, a thick mat each.', FREEZE_LANDINGS],
]);
