import type { ScenePatch } from '../../bridge/simulate/default-scene.ts';
import type { Meanwhile, Step, Switches } from '../../bridge/simulate/steps.ts';
import type { Draw } from './null-scenes.ts';

/**
 * Things done at a bench that look like a null and are none. Each is drawn afresh for each run, at a place where the
 * jockey really might be; which of them cross a real null besides is left to chance.
 */

export interface Act {
  name: string;
  /** Lays its circumstances over the scene. */
  patch?(draw: Draw): ScenePatch;
  /** @param scaleCm where on the scale of `row` the null of cell 1 lies */
  steps(draw: Draw, row: number, scaleCm: number): Step[];
  /** Fastest speed of the real sweep beside it, in cm/s. */
  realCmPerS?: number;
  /** There is no null on this wire, so none is looked for beside it. */
  noNull?: true;
}

/** The galvanometer's branch open, and whole again. */
const OFF: Partial<Switches> = { leadOhm: 1e9 };
const ON: Partial<Switches> = { leadOhm: 0 };

const sideOf = (draw: Draw): 1 | -1 => (draw.uniform() < 0.5 ? 1 : -1);
const wait = (seconds: number): Step => ({ do: 'wait', seconds });
const arrive = (row: number, scaleCm: number): Step => ({
  do: 'move',
  to: { row, scaleCm },
  seconds: 0.5,
  profile: 'smooth',
});

interface Slide {
  row: number;
  fromCm: number;
  toCm: number;
  cmPerS: number;
  meanwhile?: Meanwhile[];
  toRow?: number;
  before?: Step[];
  after?: Step[];
}

/** One touch that slides from place to place. */
function slide({
  row,
  fromCm,
  toCm,
  cmPerS,
  meanwhile = [],
  toRow = row,
  before = [],
  after = [],
}: Slide): Step[] {
  const seconds = Math.max(0.3, Math.abs(toCm - fromCm) / cmPerS);
  return [
    ...before,
    arrive(row, fromCm),
    { do: 'press' },
    wait(0.4),
    { do: 'move', to: { row: toRow, scaleCm: toCm }, seconds, profile: 'steady', meanwhile },
    wait(0.3),
    { do: 'lift' },
    wait(0.3),
    ...after,
  ];
}

/** A slide near the null, crossing it or not. */
function near(draw: Draw, row: number, scaleCm: number): Slide & { seconds: number } {
  const fromCm = scaleCm + sideOf(draw) * draw.between(1, 8);
  const toCm = fromCm + Math.sign(scaleCm - fromCm) * draw.between(0.6, 12);
  const cmPerS = draw.between(1.5, 8);
  return { row, fromCm, toCm, cmPerS, seconds: Math.max(0.3, Math.abs(toCm - fromCm) / cmPerS) };
}

/** Something changes while the jockey slides near the null, and is put right afterwards. */
function switching(draw: Draw, row: number, scaleCm: number, change: Change): Step[] {
  const way = near(draw, row, scaleCm);
  const afterS = way.seconds * draw.between(0.1, 0.9);
  const back: Meanwhile[] =
    draw.uniform() < 0.3 ? [{ afterS: afterS + draw.between(0.05, 0.6), switches: change.back }] : [];
  const overS = change.overS?.(draw);
  const there = { afterS, switches: change.to, ...(overS === undefined ? {} : { overS }) };
  const before: Step[] =
    change.first === undefined ? [] : [{ do: 'turn', switches: change.first, seconds: 0.4 }];
  const putRight: Step = { do: 'turn', switches: { ...change.back, ...change.last }, seconds: 0.4 };
  const after = overS === undefined ? [putRight] : [wait(overS), putRight];
  return slide({ ...way, meanwhile: [there, ...back], before, after });
}

interface Change {
  to: Partial<Switches>;
  back: Partial<Switches>;
  overS?(draw: Draw): number;
  first?: Partial<Switches>;
  last?: Partial<Switches>;
}

const lifted: Act = {
  name: 'lifted jockey carried across',
  steps(draw, row, scaleCm) {
    const side = sideOf(draw);
    const holdS = draw.between(0.15, 0.8);
    const tap: Step[] = [{ do: 'press' }, wait(holdS), { do: 'lift' }];
    return [
      arrive(row, scaleCm + side * draw.between(0.3, 6)),
      ...tap,
      {
        do: 'move',
        to: { row, scaleCm: scaleCm - side * draw.between(0.3, 6) },
        seconds: draw.between(0.08, 2),
        profile: draw.uniform() < 0.5 ? 'steady' : 'smooth',
      },
      ...(draw.uniform() < 0.8 ? tap : []),
      wait(0.3),
    ];
  },
};

const saturated: Act = {
  name: 'saturated nearer than the window',
  patch: (draw) => {
    const zeroCounts = Math.round(draw.between(700, 3400));
    const galvanometerOhm = draw.between(1, 20);
    return {
      bench: { galvanometer: { zeroCounts, resistanceOhm: galvanometerOhm } },
      apparatus: { galvanometerOhm },
      frontEnd: { galvanometer: { zeroCounts: zeroCounts + draw.between(-8, 8) } },
    };
  },
  steps: (draw, row, scaleCm) => {
    const side = sideOf(draw);
    const fromCm = scaleCm + side * draw.between(0.5, 8);
    const toCm = scaleCm - side * draw.between(0.5, 8);
    return slide({ row, fromCm, toCm, cmPerS: draw.between(5, 60) });
  },
  realCmPerS: 2,
};

const cellKey: Act = {
  name: 'two-way key turned under way',
  steps: (draw, row, scaleCm) =>
    switching(draw, row, scaleCm, { to: { cell: draw.uniform() < 0.8 ? 2 : 0 }, back: { cell: 1 } }),
};

const driverKey: Act = {
  name: 'driver key opened under way',
  steps: (draw, row, scaleCm) =>
    switching(draw, row, scaleCm, { to: { keyClosed: false }, back: { keyClosed: true } }),
};

const protect: Act = {
  name: 'protective resistance switched under way',
  steps: (draw, row, scaleCm) =>
    switching(
      draw,
      row,
      scaleCm,
      draw.uniform() < 0.5
        ? { to: { protect: true }, back: { protect: false } }
        : {
            first: { protect: true },
            to: { protect: false },
            back: { protect: true },
            last: { protect: false },
          },
    ),
};

/** Dirt under a blade that goes on touching: the branch opens for moments, whatever the board senses. */
function dirt(draw: Draw, seconds: number): Meanwhile[] {
  const perS = draw.between(3, 40);
  const breakS = draw.between(0.002, 0.03);
  const breaks: Meanwhile[] = [];
  for (let afterS = 0; ; ) {
    afterS += breakS - Math.log(1 - draw.uniform()) / perS;
    if (afterS + breakS > seconds) return breaks;
    breaks.push({ afterS, switches: OFF }, { afterS: afterS + breakS, switches: ON });
  }
}

/** The real sweep beside it gets a little of what the board does sense. */
const chatter: Act = {
  name: 'chatter',
  patch: (draw) => ({
    apparatus: { contact: { chatterPerS: draw.between(0, 2), chatterMs: draw.between(2, 6) } },
  }),
  steps: (draw, row, scaleCm) => {
    const way = near(draw, row, scaleCm);
    return slide({ ...way, meanwhile: dirt(draw, way.seconds) });
  },
};

const rowJump: Act = {
  name: 'jump of rows',
  steps: (draw, row, scaleCm) => {
    const toRow = row === 1 || (row < 10 && draw.uniform() < 0.5) ? row + 1 : row - 1;
    return slide({ ...near(draw, row, scaleCm), toRow });
  },
};

const humAlone: Act = {
  name: 'hum alone',
  patch: (draw) => ({
    frontEnd: {
      galvanometer: { hum: { amplitudeUa: draw.between(0.3, 3), frequencyHz: draw.between(49.8, 50.2) } },
    },
  }),
  steps: (draw, row, scaleCm) =>
    slide({
      ...near(draw, row, scaleCm),
      before: [{ do: 'turn', switches: OFF, seconds: 0.2 }],
      after: [{ do: 'turn', switches: ON, seconds: 0.2 }],
    }),
};

const dying: Act = {
  name: 'current that dies away',
  steps: (draw, row, scaleCm) =>
    switching(draw, row, scaleCm, {
      to: { leadOhm: 10 ** draw.between(4, 8) },
      back: ON,
      overS: (inner) => inner.between(0, 1.5),
    }),
};

const broken: Act = {
  name: 'wire broken',
  noNull: true,
  steps: (draw, row, scaleCm) => {
    const side = sideOf(draw);
    const fromCm = scaleCm + side * draw.between(0.3, 6);
    const toCm = scaleCm - side * draw.between(0.3, 6);
    const taps = Array.from({ length: 8 }, () => scaleCm + draw.between(-2, 2));
    return [
      ...slide({ row, fromCm, toCm, cmPerS: draw.between(1.5, 8) }),
      ...taps.flatMap((cm): Step[] => [arrive(row, cm), { do: 'press' }, wait(0.4), { do: 'lift' }]),
      wait(0.3),
    ];
  },
};

export const ACTS: Act[] = [
  lifted,
  saturated,
  cellKey,
  driverKey,
  protect,
  chatter,
  rowJump,
  humAlone,
  dying,
  broken,
];
