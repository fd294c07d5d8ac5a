import { BLUNDERS, type BlunderKind } from './blunders.ts';
import type { Chance } from './chance.ts';
import { type DesignLimits, PLAIN, THERE_AND_BACK } from './design.ts';
import type { Conditions } from './experiment.ts';
import type { Limit } from './limits.ts';
import type { LoadConditions } from './load-experiment.ts';
import type { SampledConditions } from './sampled-experiment.ts';
import { all, EFFECTS, mixed, only, type Sizes } from './sizes.ts';
import type { Statement } from './statements.ts';

/** The scenes of the reality study at the level of balancing lengths. */

export interface Scene {
  name: string;
  /** In multiples of an ordinary size; null where it has none. */
  size: number | null;
  judgedBy: readonly Limit[];
}

export interface RealityScene extends Scene, Conditions {}
export interface LoadScene extends Scene, LoadConditions {}
export interface SampledScene extends Scene, SampledConditions {}

const SIZES = [0.5, 1, 2, 5, 10] as const;
const BOTH: readonly Statement[] = ['silent', 'honest'];

/** Up to twice ordinary the intervals must hold the truth; beyond, a miss must be flagged. */
const limitsAt = (size: number): Limit[] => ['flags', 'error', ...(size <= 2 ? (['coverage'] as const) : [])];

const alone = (others: number, where: string): RealityScene[] =>
  EFFECTS.flatMap((effect) =>
    SIZES.map((size) => ({
      name: `${effect} × ${size}, ${where}`,
      size,
      sizes: only(effect, size, others),
      statements: BOTH,
      judgedBy: limitsAt(size),
    })),
  );

const together: RealityScene[] = [0, ...SIZES].map((size) => ({
  name: `everything × ${size}`,
  size,
  sizes: all(size),
  statements: BOTH,
  judgedBy: [...limitsAt(size), ...(size <= 1 ? (['false alarms'] as const) : [])],
}));

const jumps: RealityScene[] = SIZES.map((size) => ({
  name: `EMF jumps × ${size}, all else half`,
  size,
  sizes: all(0.5),
  statements: BOTH,
  jump: { probability: 1, relative: 0.0004 * size },
  design: { sets: [2, 3, 4, 6, 8, 12] },
  judgedBy: limitsAt(size),
}));

const blundered = (kind: BlunderKind, sets: readonly number[], which: string): RealityScene => ({
  name: `${kind}, ${which} sets`,
  size: null,
  sizes: all(0.7),
  statements: BOTH,
  blunder: { probability: 1, kinds: [kind] },
  design: { sets },
  judgedBy: ['flags'],
});

const blunders: RealityScene[] = BLUNDERS.flatMap((kind) => [
  blundered(kind, [2], '2'),
  blundered(kind, [3, 4], '3 to 4'),
  blundered(kind, [6, 8, 12], '6 to 12'),
]);

const stated: RealityScene[] = [
  ...[0.5, 1, 2].map(
    (size): RealityScene => ({
      name: `end stated tight and true, everything × ${size}`,
      size,
      sizes: all(size),
      statements: ['tight end'],
      judgedBy: limitsAt(size),
    }),
  ),
  {
    name: 'end stated tight and false, everything × 0.5',
    size: null,
    sizes: all(0.5),
    statements: ['false end'],
    judgedBy: ['flags'],
  },
];

const largeEnd = (others: number, where: string): RealityScene => ({
  name: `end correction of 2 to 10 cm, ${where}`,
  size: null,
  sizes: only('joint', 4, others),
  statements: ['silent'],
  design: { sets: [2, 3, 4, 6, 8, 12] },
  endCm: [2, 10],
  judgedBy: ['flags', 'large end'],
});

const population: RealityScene = {
  name: 'population',
  size: null,
  sizes: mixed,
  statements: ['silent', 'silent', 'silent', 'honest', 'honest', 'tight end'],
  blunder: { probability: 0.03, kinds: BLUNDERS },
  jump: { probability: 0.03, relative: 0.001 },
  judgedBy: ['population', 'flags'],
};

/** Sound benches but for one or two things, which may be gross. */
const fewWrong: RealityScene = {
  name: 'a few things wrong',
  size: null,
  sizes: (chance) => withWrong(chance.oneOf([0, 1, 1, 2]), chance),
  statements: ['silent', 'silent', 'honest'],
  judgedBy: ['coverage', 'flags'],
};

function withWrong(count: number, chance: Chance): Sizes {
  const wrong = Array.from({ length: count }, () => [chance.oneOf(EFFECTS), chance.logBetween(1, 8)]);
  return { ...all(0.3), ...Object.fromEntries(wrong) };
}

/** Short runs by sensor that once went wrong without a word. */
const short = (sets: readonly number[], orders: DesignLimits['orders'] = [PLAIN]): DesignLimits => ({
  sets,
  orders,
  minutes: [1, 3],
  byEye: false,
});
const once = (
  name: string,
  conditions: Partial<Conditions> & Pick<Conditions, 'sizes'>,
  judgedBy: Limit[],
): RealityScene => ({
  name: `short run: ${name}`,
  size: null,
  statements: ['silent'],
  design: short([2, 4, 4, 8]),
  ...conditions,
  judgedBy,
});
const ORDINARY_LIMITS: Limit[] = ['coverage', 'flags', 'error'];
const shortRuns: RealityScene[] = [
  once('all sound', { sizes: all(0.2) }, [...ORDINARY_LIMITS, 'false alarms']),
  once('rows differ by 0.2 %', { sizes: only('rows', 1) }, ORDINARY_LIMITS),
  once('rows differ by 0.5 %', { sizes: only('rows', 2.5) }, ORDINARY_LIMITS),
  once('uneven by 0.3 % each 10 cm', { sizes: only('walk', 1), design: short([8]) }, ORDINARY_LIMITS),
  once('a cell falls 0.06 % a minute', { sizes: only('drift', 12) }, ['flags', 'error']),
  once(
    'a cell falls 0.06 % a minute, 1-2-2-1',
    { sizes: only('drift', 12), design: short([2, 4, 4, 8], [THERE_AND_BACK]) },
    ['flags', 'error'],
  ),
  once('an EMF jumps by 0.4 %', { sizes: all(0), jump: { probability: 1, relative: 0.004 } }, [
    'flags',
    'error',
  ]),
  once('end correction of 3 to 10 cm', { sizes: only('joint', 4), endCm: [3, 10] }, [
    'coverage',
    'flags',
    'large end',
  ]),
  once(
    'a length misread by 5 mm, two sets',
    { sizes: all(0), blunder: { probability: 1, kinds: ['misread 5 mm'] }, design: short([2]) },
    ['coverage', 'flags', 'error'],
  ),
  once(
    'end stated tight and true, rows differ by 0.2 %',
    { sizes: only('rows', 1), statements: ['tight end'] },
    ORDINARY_LIMITS,
  ),
];

export const SCENES: readonly RealityScene[] = [
  population,
  fewWrong,
  ...shortRuns,
  ...together,
  ...alone(0, 'nothing else'),
  ...alone(0.5, 'all else half'),
  ...jumps,
  ...blunders,
  ...stated,
  largeEnd(0, 'nothing else'),
  largeEnd(0.5, 'all else half'),
];

/** Internal resistance: everything together, and a cell that gives way under a load (0.1 % is ordinary). */
export const LOAD_SCENES: readonly LoadScene[] = [
  ...[0, ...SIZES].map((size) => ({
    name: `r: everything × ${size}`,
    size,
    sizes: all(size),
    polarisation: 0.001 * size,
    statements: BOTH,
    judgedBy: limitsAt(size),
  })),
  ...SIZES.map((size) => ({
    name: `r: cell polarises × ${size}, all else half`,
    size,
    sizes: all(0.5),
    polarisation: 0.001 * size,
    statements: BOTH,
    judgedBy: limitsAt(size),
  })),
];

const sampledFault = (fault: SampledConditions['fault']): SampledScene => ({
  name: `samples: ${fault}`,
  size: null,
  sizes: all(0.7),
  statements: BOTH,
  design: { sets: [3, 4, 6] },
  fault,
  judgedBy: ['flags'],
});

/** Whole recordings, from samples to the report. */
export const SAMPLED_SCENES: readonly SampledScene[] = [
  ...[0, ...SIZES].map((size) => ({
    name: `samples: everything × ${size}`,
    size,
    sizes: all(size),
    statements: BOTH,
    judgedBy: [...limitsAt(size), ...(size <= 1 ? (['false alarms'] as const) : [])],
  })),
  ...(['rows', 'walk', 'joint', 'drift'] as const).flatMap((effect) =>
    [1, 5].map((size) => ({
      name: `samples: ${effect} × ${size}, all else half`,
      size,
      sizes: only(effect, size, 0.5),
      statements: BOTH,
      judgedBy: limitsAt(size),
    })),
  ),
  {
    name: 'samples: EMF jumps by 0.4 %',
    size: null,
    sizes: all(0.5),
    statements: BOTH,
    jump: { probability: 1, relative: 0.004 },
    judgedBy: ['flags'],
  },
  sampledFault('mark off by 1 cm'),
  sampledFault('zero end wrong'),
  sampledFault('row said wrong once'),
];
