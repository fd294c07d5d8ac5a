import { existsSync } from 'node:fs';
import { join } from 'node:path';
import {
  BOTTOM_COUNT,
  CONVERTER,
  GAL_NOISE_UA,
  GAL_UA_PER_COUNT,
  PARTS,
  TOP_COUNT,
} from '../../bridge/emulate/hardware.ts';
import { nominal } from '../../bridge/emulate/parts.ts';
import { EXPECTED } from '../../bridge/self-test/expected.ts';
import type { RestStep, SelfTestReadings } from '../../bridge/self-test/judge.ts';
import { fallTimesS, readingOf, slideOf } from '../../bridge/self-test/readings.ts';
import { randomStream } from '../../bridge/simulate/random.ts';
import { inNgspice } from '../../docs/hardware/in-ngspice.ts';
import {
  type BuiltFrontEnd,
  DIODE,
  numbersIn,
  type PartFault,
  partLines,
} from '../../docs/hardware/netlist.ts';
import type { SampleFrame } from '../../firmware-protocol/frames.ts';

/** What the self-test would read at a front end with one part gone wrong: voltages by ngspice, counts by the converter's rule. */

const STEPS: readonly RestStep[] = ['bare', 'plus', 'minus', 'over', 'driver'];
const LEVELS = 8;
/** It answers in a tenth of a second, or goes round in circles. */
const LONGEST_MS = 10_000;
/** Far more than any of these circuits has to say. */
const SAMPLES = 200;
const PLACES = 3;
const SLIDE_SAMPLES = 4000;
const PERIOD_S = 0.005;
const BURST_S = CONVERTER.burst * CONVERTER.conversionS;
const CONVERSIONS = { pc0: 16, pc1: 16, pc2: 4 } as const;
/** Dither levels in their order (sampler.c). */
const ORDER = [0, 4, 2, 6, 1, 5, 3, 7];
const PINS = ['pc0', 'pc1', 'pc2'] as const;

const SPAN = { minCount: BOTTOM_COUNT, maxCount: TOP_COUNT };
const SPANS = { gal: SPAN, pos: SPAN, drv: SPAN };

const built = (
  fault: PartFault | undefined,
  positionShare: number,
  limit: BuiltFrontEnd['limit'],
): BuiltFrontEnd => ({
  limit,
  supplyV: PARTS.supplyV,
  error: () => 0,
  amplifier: () => ({ offsetV: 0, commonModeGain: 1 / PARTS.commonModeRejection }),
  shunt: 'at A',
  positionShare,
  ...(fault === undefined ? {} : { fault }),
});

/** The dummy source in each step; in `cut` a switch takes R34's clip off. */
function dummyLines(step: RestStep | 'cut'): string[] {
  const [one, other] = [nominal('R34'), nominal('R35')];
  const back = `rback A_0 0 ${nominal('R36')}`;
  const lines: Record<RestStep | 'cut', string[]> = {
    bare: [],
    plus: [`rdummy supply_0 cells_0 ${one}`],
    minus: [`rdummy 0 cells_0 ${one}`],
    over: [`rdummy supply_0 cells_0 ${other}`, back],
    driver: [`rdummy supply_0 driver_0 ${other}`, back],
    cut: [`rdummy clip cells_0 ${one}`, 'sclip supply_0 clip key 0 clipped'],
  };
  return lines[step];
}

/** The supply, and the port pins that drive the dither ladder. */
const SUPPLIES = [
  `vsupply supply_0 0 ${PARTS.supplyV}`,
  ...[3, 4, 5].map((pin) => {
    const weight = 2 ** (pin - 3);
    return `bpc${pin} pc${pin}_0 0 V=${PARTS.supplyV}*(floor(V(level)/${weight})-2*floor(V(level)/${2 * weight}))`;
  }),
];

const HEAD = [
  'self-test',
  `.model signal D(IS=${DIODE.saturationA} N=${DIODE.emission})`,
  '.model clipped SW(VT=0.5 VH=0 RON=0.01 ROFF=1e12)',
];

/** Runs ngspice and reads what it wrote; null where it did not settle. */
function solved(lines: readonly string[], analysis: string, vectors: readonly string[]): number[][] | null {
  const netlist = [
    ...HEAD,
    ...lines,
    '.control',
    'set wr_singlescale',
    'set numdgt=12',
    ...analysis.split('\n'),
    `wrdata answer.txt ${vectors.join(' ')}`,
    'quit 0',
    '.endc',
    '.end',
    '',
  ];
  const read = (_: string, folder: string) => {
    const path = join(folder, 'answer.txt');
    return existsSync(path) ? numbersIn(path).map((row) => row.slice(1)) : null;
  };
  try {
    return inNgspice(netlist, read, LONGEST_MS);
  } catch (thrown) {
    if ((thrown as NodeJS.ErrnoException).code === 'ETIMEDOUT') return null;
    throw thrown;
  }
}

/** Volts at the three analog pins for each dither level. @throws Error where ngspice does not settle */
function pinVolts(fault: PartFault | undefined, positionShare: number, step: RestStep): number[][] {
  for (const limit of ['corner', 'bend'] as const) {
    const circuit = [...partLines(built(fault, positionShare, limit), 0), ...SUPPLIES, ...dummyLines(step)];
    const rows = solved(
      ['vlevel level 0 0', ...circuit],
      `dc vlevel 0.001 ${LEVELS - 1 + 0.001} 1`,
      PINS.map((pin) => `v(${pin}_0)`),
    );
    if (rows?.length === LEVELS) return PINS.map((_, pin) => rows.map((row) => row[pin]));
  }
  throw new Error(`ngspice does not settle: ${fault?.part ?? 'all sound'} ${fault?.kind ?? ''} ${step}`);
}

const toSteps = (volts: number): number =>
  Math.max(0, Math.min(CONVERTER.steps - 1, Math.floor((volts / PARTS.supplyV) * CONVERTER.steps)));

/** Counts of one channel as the firmware makes them: conversions at one dither level after the other, averaged. */
function countsOf(
  levels: (sample: number) => readonly number[],
  pin: (typeof PINS)[number],
  samples: number,
): number[] {
  const random = randomStream(7, pin);
  const noiseV =
    (GAL_NOISE_UA / GAL_UA_PER_COUNT / CONVERTER.countsPerStep / CONVERTER.steps) * PARTS.supplyV;
  let level = 0;
  return Array.from({ length: samples }, (_, sample) => {
    const volts = levels(sample);
    // The position sensor and the driver's shunt have next to no noise of their own.
    const noise = (pin === 'pc0' ? 0.75 : 0.05) * noiseV * random.normal();
    let sum = 0;
    for (let index = 0; index < CONVERSIONS[pin]; index += 1) {
      sum += toSteps(volts[ORDER[level]] + noise);
      level = (level + 1) % LEVELS;
    }
    return Math.floor((CONVERTER.countsPerStep * sum) / CONVERSIONS[pin]);
  });
}

const frames = (gal: number[], pos: number[], drv: number[]): SampleFrame[] =>
  gal.map((count, index) => ({
    type: 'S',
    seq: index,
    tUs: Math.round(index * PERIOD_S * 1e6),
    gal: count,
    pos: pos[index],
    drv: drv[index],
    row: 0,
    flags: 0,
  }));

/** The galvanometer's voltage as the clip comes off, every tenth of a millisecond; null where ngspice does not settle. */
function cutVolts(fault: PartFault | undefined): number[] | null {
  for (const limit of ['corner', 'bend'] as const) {
    const rows = solved(
      [
        'vlevel level 0 3.5',
        `vkey key 0 PWL(0 1 ${CUT_S - 1e-6} 1 ${CUT_S} 0)`,
        ...[...partLines(built(fault, 0.5, limit), 0), ...SUPPLIES, ...dummyLines('cut')],
      ],
      `tran ${TRAN_STEP_S} ${TRAN_S} 0 ${TRAN_STEP_S}\nlinearize v(pc0_0)`,
      ['v(pc0_0)'],
    );
    if (rows !== null) return rows.map(([volts]) => volts);
  }
  return null;
}

const TRAN_STEP_S = 1e-4;
const TRAN_S = 0.12;
const CUT_S = 0.0415;

/** Samples through the cut: each the mean of its burst. */
function cutSamples(volts: readonly number[]): SampleFrame[] {
  const perPeriod = Math.round(PERIOD_S / TRAN_STEP_S);
  const perBurst = Math.round(BURST_S / TRAN_STEP_S);
  const counts = Array.from({ length: Math.floor(volts.length / perPeriod) }, (_, index) => {
    const burst = volts.slice(index * perPeriod, index * perPeriod + perBurst);
    const mean = burst.reduce((sum, volt) => sum + volt, 0) / burst.length;
    return Math.round((mean / PARTS.supplyV) * CONVERTER.steps * CONVERTER.countsPerStep);
  });
  return frames(counts, counts, counts);
}

/** @throws Error where ngspice does not settle */
export function readingsWith(fault?: PartFault): SelfTestReadings {
  const rest = Object.fromEntries(
    STEPS.map((step) => {
      const volts = pinVolts(fault, 0.5, step);
      const [gal, pos, drv] = PINS.map((pin, at) => countsOf(() => volts[at], pin, SAMPLES));
      return [step, readingOf(frames(gal, pos, drv), SPANS)];
    }),
  ) as SelfTestReadings['rest'];
  const places = Array.from({ length: PLACES }, (_, at) => pinVolts(fault, at / (PLACES - 1), 'bare')[1]);
  const slid = countsOf((sample) => between(places, sample), 'pc1', SLIDE_SAMPLES);
  const cut = cutVolts(fault);
  return {
    rest,
    // Where ngspice can't tell, the lag gives nothing away.
    fallTimesS: cut === null ? [EXPECTED.lagS.s] : fallTimesS(cutSamples(cut), rest.bare.gal?.mean ?? 0),
    slide: slideOf(frames(slid, slid, slid), SPANS),
  };
}

/** Levels between two places of the slide, which moves evenly. */
function between(places: readonly (readonly number[])[], sample: number): number[] {
  const at = (sample / (SLIDE_SAMPLES - 1)) * (PLACES - 1);
  const low = Math.min(PLACES - 2, Math.floor(at));
  return places[low].map((volts, level) => volts + (at - low) * (places[low + 1][level] - volts));
}
