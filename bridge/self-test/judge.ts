import type { ChannelName } from '../../firmware-protocol/frames.ts';
import { EXPECTED } from './expected.ts';
import type { Reading, Slide, SteadyCounts } from './readings.ts';

/** From what a board read in the steps of the self-test to what is right and which parts to look at. */

/** States of rest, by what is clipped to the terminals. */
export type RestStep = 'bare' | 'plus' | 'minus' | 'over' | 'driver';

export interface SelfTestReadings {
  rest: Record<RestStep, Reading>;
  /** Time constants seen as the current was cut off; empty where none could be told. */
  fallTimesS: readonly number[];
  /** Position while the jockey went from one end to the other; null for a board without that channel. */
  slide: Slide | null;
}

export interface SelfTestCheck {
  id: string;
  passed: boolean;
  /** What was seen beside what is wanted, as a sentence's end. */
  seen: string;
  /** Parts of docs/hardware.md to look at where it did not pass, the likeliest first. */
  parts: readonly string[];
}

const numbered = (letter: string, from: number, to: number): string[] =>
  Array.from({ length: to - from + 1 }, (_, index) => `${letter}${from + index}`);

const SHUNT = ['J1', 'R1', 'D1', 'D2', 'R28'];
const AMPLIFIER = ['A1', 'A2', 'A3', ...numbered('R', 2, 10), 'C1', 'C2', 'R12', 'R15', 'C3'];
const MID_RAIL = ['A4', 'R26', 'R27', 'C6', 'R28'];
const DRIVER = ['A6', 'R11', ...numbered('R', 29, 33), 'R14', 'R17', 'C5'];
const POSITION = ['J2', 'P1', 'R24', 'R25', 'A5', 'R13', 'R16', 'C4'];
const DITHER = numbered('R', 18, 23);
const DUMMY = ['R34', 'R35', 'R36'];

export function judge(readings: SelfTestReadings): SelfTestCheck[] {
  const { gal: bare } = readings.rest.bare;
  const checks = bare === null ? [absent('gal')] : galvanometerChecks(readings, bare);
  return [
    ...checks,
    ...lagCheck(readings),
    ...driverChecks(readings),
    ...slideChecks(readings),
    ...ditherChecks(readings),
  ];
}

const absent = (channel: ChannelName): SelfTestCheck => ({
  id: `${channel}-missing`,
  passed: false,
  seen: `the board sends no counts of ${channel}`,
  parts: [],
});

function within(
  id: string,
  what: string,
  counts: number,
  wanted: { counts: number; within: number },
  parts: readonly string[],
): SelfTestCheck {
  const passed = Math.abs(counts - wanted.counts) <= wanted.within;
  const text = `${what} ${counts.toFixed(1)} counts; ${wanted.counts.toFixed(0)} ± ${wanted.within.toFixed(0)} wanted`;
  return { id, passed, seen: text, parts };
}

function galvanometerChecks({ rest }: SelfTestReadings, bare: SteadyCounts): SelfTestCheck[] {
  const at = (step: RestStep) => rest[step].gal?.mean ?? Number.NaN;
  const span = at('plus') - at('minus');
  const middle = (at('plus') + at('minus')) / 2 - bare.mean;
  return [
    within('zero', 'galvanometer without current:', bare.mean, EXPECTED.galZero, [...AMPLIFIER, ...MID_RAIL]),
    ...signCheck(span),
    within('span', 'from the current one way to the other:', Math.abs(span), EXPECTED.galSpan, [
      ...SHUNT,
      ...AMPLIFIER,
      ...MID_RAIL,
      ...DUMMY,
    ]),
    within('middle', 'both ways alike: their middle lies off the zero by', middle, EXPECTED.galMiddle, [
      ...MID_RAIL,
      ...AMPLIFIER,
      ...SHUNT,
    ]),
    saturationCheck(rest.over.gal),
    scatterCheck(bare),
  ];
}

/** Not where there is hardly a deflection: then the span says what there is to say. */
function signCheck(span: number): SelfTestCheck[] {
  if (Math.abs(span) < EXPECTED.galSpan.counts / 10) return [];
  const seen =
    span > 0
      ? 'current from P to A gives more counts'
      : 'current from P to A gives fewer counts: the leads to A and P are exchanged, or the two inputs';
  return [{ id: 'sign', passed: span > 0, seen, parts: ['J1', 'R2', 'R3'] }];
}

function saturationCheck(over: SteadyCounts | null): SelfTestCheck {
  const passed = over !== null && over.saturatedShare > 0.98 && over.mean > EXPECTED.galZero.counts;
  const seen = passed
    ? 'a current beyond the span is marked as saturated'
    : `a current beyond the span reads ${over?.mean.toFixed(0) ?? 'nothing'}, ${(100 * (over?.saturatedShare ?? 0)).toFixed(0)} % of it marked as saturated: it would pass for a reading`;
  return { id: 'over-span', passed, seen, parts: [...AMPLIFIER, ...SHUNT, ...MID_RAIL, ...DUMMY] };
}

function scatterCheck({ scatter }: SteadyCounts): SelfTestCheck {
  const most = EXPECTED.galScatter;
  const seen = `one sample scatters by ${scatter.toFixed(2)} counts; at most ${most} wanted: beyond it is hum, pick-up or an unquiet supply`;
  return { id: 'scatter', passed: scatter <= most, seen, parts: [...numbered('C', 6, 11), ...AMPLIFIER] };
}

function lagCheck({ fallTimesS, rest }: SelfTestReadings): SelfTestCheck[] {
  if (rest.bare.gal === null) return [];
  const { s, within: most } = EXPECTED.lagS;
  const sorted = fallTimesS.toSorted((a, b) => a - b);
  const middle = sorted[Math.floor(sorted.length / 2)];
  const passed = middle !== undefined && Math.abs(middle - s) <= most;
  const wanted = `${(1000 * s).toFixed(1)} ± ${(1000 * most).toFixed(1)} ms wanted`;
  const seen =
    middle === undefined
      ? `no fall of the current could be timed; ${wanted}`
      : `the current falls with a time constant of ${(1000 * middle).toFixed(1)} ms; ${wanted}`;
  return [{ id: 'lag', passed, seen, parts: ['C1', 'C2', 'R9', 'R10', ...SHUNT, ...AMPLIFIER] }];
}

function driverChecks({ rest }: SelfTestReadings): SelfTestCheck[] {
  const [bare, driven] = [rest.bare.drv, rest.driver.drv];
  if (bare === null || driven === null) return [];
  return [
    within('driver-zero', 'driver current of nought:', bare.mean, EXPECTED.driverZero, [
      ...DRIVER,
      ...MID_RAIL,
    ]),
    within('driver-span', 'driver current through the dummy:', driven.mean - bare.mean, EXPECTED.driverSpan, [
      ...DRIVER,
      'J1',
      ...DUMMY,
    ]),
  ];
}

/** A worn or dirty track, or a slide that was pulled too fast. */
const LARGEST_JUMP = 250;

function slideChecks({ slide }: SelfTestReadings): SelfTestCheck[] {
  if (slide === null) return [];
  const { least, most, saturatedShare, largestJump } = slide;
  return [
    within('slide-from', 'position at the one end of the scale:', least, EXPECTED.slideFrom, POSITION),
    within('slide-to', 'position at the other end:', most, EXPECTED.slideTo, POSITION),
    {
      id: 'slide-whole',
      passed: saturatedShare === 0 && largestJump <= LARGEST_JUMP,
      seen: `largest jump between two samples ${largestJump} counts, ${(100 * saturatedShare).toFixed(1)} % saturated; at most ${LARGEST_JUMP} counts and none wanted`,
      parts: POSITION,
    },
  ];
}

/** Into the converter, and the dither's own. */
const COUPLED: Record<ChannelName, readonly string[]> = {
  gal: ['R15', 'R12'],
  pos: ['R16', 'R13'],
  drv: ['R17', 'R14'],
};
const NAMES: Record<ChannelName, string> = { gal: 'galvanometer', pos: 'position', drv: 'driver current' };

function ditherChecks({ rest, slide }: SelfTestReadings): SelfTestCheck[] {
  const channels = (['gal', 'drv'] as const).flatMap((channel) => {
    const shares = Object.values(rest).flatMap((reading) => {
      const counts = reading[channel];
      return counts === null || counts.saturatedShare > 0 ? [] : [counts.wholeStepShare];
    });
    return shares.length === 0 ? [] : [ditherCheck(channel, Math.min(...shares))];
  });
  return slide === null ? channels : [...channels, slidingDither(slide.wholeStepShare)];
}

const ditherCheck = (channel: ChannelName, share: number): SelfTestCheck => ({
  id: `dither-${channel}`,
  passed: share <= EXPECTED.wholeSteps.most,
  seen: `${NAMES[channel]}: ${(100 * share).toFixed(0)} % of counts are whole steps of the converter; at most ${100 * EXPECTED.wholeSteps.most} % wanted`,
  parts: [...COUPLED[channel], ...DITHER],
});

function slidingDither(share: number): SelfTestCheck {
  const { least, most } = EXPECTED.wholeStepsSliding;
  return {
    id: 'dither-pos',
    passed: share >= least && share <= most,
    seen: `${NAMES.pos}: ${(100 * share).toFixed(0)} % of counts are whole steps of the converter; ${100 * least} to ${100 * most} % wanted`,
    parts: [...COUPLED.pos, ...DITHER],
  };
}
