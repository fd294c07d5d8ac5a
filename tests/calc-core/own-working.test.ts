import { describe, expect, it } from 'vitest';
import { judgeWorking, type PrintedSet, type TypedWorking } from '../../bridge/calc-core/own-working.ts';

/** A student's numbers (invented) from four sets on rows of 100 cm, the ammeter 0.4 mA low. */
const BENCH = { rowLengthCm: 100, zeroCorrectionMa: 0.4 };
const ratio = (first: number, second: number) => first / second;
const SETS: PrintedSet[] = [
  { set: 1, lengthsCm: [545.17, 472.66], made: ratio, correctedMa: 144.39 },
  { set: 2, lengthsCm: [619.97, 537.61], made: ratio, correctedMa: 126.96 },
  { set: 3, lengthsCm: [718.07, 622.59], made: ratio, correctedMa: 109.63 },
  { set: 4, lengthsCm: [854.81, 741.26], made: ratio, correctedMa: 92.1 },
];
const RIGHT = ['1.1534', '1.1532', '1.1534', '1.1532'];

function judged(
  typed: { made?: string[]; ammeterMa?: string[]; mean?: string; uncertainty?: string },
  sets = SETS,
) {
  const working: TypedWorking = {
    sets: sets.map(({ set }, at) => ({
      set,
      made: typed.made?.[at] ?? '',
      ammeterMa: typed.ammeterMa?.[at] ?? '',
    })),
    mean: typed.mean ?? '',
    uncertainty: typed.uncertainty ?? '',
  };
  return judgeWorking(working, sets, BENCH).map(({ about, isRight, descriptor }) => [
    'set' in about ? `${about.what} ${about.set}` : about.what,
    isRight,
    descriptor.key.replace('working-', ''),
    ...Object.values(descriptor.values),
  ]);
}

describe('what a student worked out by hand', () => {
  it('is right where it follows from the readings, to the digits that were typed', () => {
    const all = judged({
      made: RIGHT,
      ammeterMa: ['144.39', '126,96', '109.6', '92.1'],
      mean: '1.1533',
      uncertainty: '0.00006',
    });
    expect(all).toHaveLength(10);
    expect(all.every(([, isRight]) => isRight)).toBe(true);
  });

  it('is not remarked on where nothing was typed', () => {
    expect(judged({})).toEqual([]);
  });

  it.each([
    ['0.8670', 'exchanged'],
    ['1.3650', 'row', 1],
    ['0.9418', 'row', 1],
    ['0.9520', 'row', 2],
    ['1.1738', 'zero-end', 1],
    ['1.2757', 'zero-end', 2],
    ['0.866', 'exchanged'],
    ['1.2', 'few-digits'],
    ['1.1535', 'last-digit'],
    ['1.2000', 'unexplained'],
    ['1.15.3', 'no-number'],
    ['1e3', 'no-number'],
  ])('is told by the slip that leads to it: %s for a ratio', (made, ...slip) => {
    expect(judged({ made: [made] })).toEqual([['made 1', false, ...slip]]);
  });

  it('tells an ammeter that was not corrected, and one corrected the wrong way', () => {
    expect(judged({ ammeterMa: ['143.99', '126.16'] })).toEqual([
      ['ammeter 1', false, 'not-corrected'],
      ['ammeter 2', false, 'correction-turned'],
    ]);
  });

  it('tells a mean that follows from wrong ratios, one without a set, and one that is right with its own rounding', () => {
    const slipped = ['1.3650', ...RIGHT.slice(1)];
    expect(judged({ made: slipped, mean: '1.2062' }).at(-1)).toEqual(['mean', false, 'follows']);
    expect(judged({ mean: '1.15325' }).at(-1)).toEqual(['mean', false, 'left-out', 1]);
    expect(judged({ made: RIGHT, mean: '1.153300' }).at(-1)).toEqual(['mean', true, 'right']);
  });

  it('tells which standard deviation was taken', () => {
    // of the four ratios: 1.153408, 1.153197, 1.153359, 1.153185
    const s = 0.0001133;
    expect(judged({ uncertainty: s.toFixed(6) })).toEqual([['uncertainty', false, 'single']]);
    expect(judged({ uncertainty: (s / 2).toFixed(6) })).toEqual([['uncertainty', true, 'right']]);
    expect(judged({ uncertainty: (s * Math.sqrt(3 / 4)).toFixed(6) })).toEqual([
      ['uncertainty', false, 'population'],
    ]);
  });

  it('works for an internal resistance too', () => {
    const made = (open: number, loaded: number) => 10 * (open / loaded - 1);
    const load: PrintedSet[] = [{ set: 1, lengthsCm: [619.78, 594.78], made, correctedMa: null }];
    expect(judged({ made: ['0.420'] }, load)).toEqual([['made 1', true, 'right']]);
    expect(judged({ made: ['-0.403'] }, load)).toEqual([['made 1', false, 'exchanged']]);
  });
});
