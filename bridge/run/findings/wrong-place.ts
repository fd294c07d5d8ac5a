import type { Bench } from '../../bench/bench-file.ts';
import { lengthFromA } from '../../bench/geometry.ts';
import { message } from '../../messages/catalogue.ts';
import type { ResolvedNull } from '../resolved-null.ts';
import type { Finding } from '../view.ts';

/**
 * Places that can't be right: the scale's zero end, a null's row, a calibration mark. Length times driver current is the
 * cell's EMF as far as the ammeter is straight, so the nulls of one cell in several sets must agree in it.
 */

/** Lengths at their right places agree so well; a row more or less, or the other end, is off by several times as much. */
const AGREES = 0.004;
const DISAGREES = 0.015;

type Placed = ResolvedNull & { lengthCm: number; current: { mA: number } };

const isPlaced = (nullPoint: ResolvedNull): nullPoint is Placed =>
  nullPoint.lengthCm !== null &&
  nullPoint.rejected === null &&
  nullPoint.current !== null &&
  !nullPoint.labels.protect;

/** Whether the nulls agree once the metre scale is taken to begin at its other end, and not as they stand. */
export function zeroEndLooksWrong(nulls: readonly ResolvedNull[]): boolean {
  const cells = ofEachCell(nulls).filter((ofCell) => ofCell.length > 1);
  if (cells.length === 0) return false;
  return cells.every(
    (ofCell) =>
      spread(ofCell, ({ lengthCm }) => lengthCm) > DISAGREES && spread(ofCell, fromOtherEnd) < AGREES,
  );
}

export function placeFindings(bench: Bench, nulls: readonly ResolvedNull[]): Finding[] {
  if (zeroEndLooksWrong(nulls)) {
    return [{ code: 'zero-end-or-row-wrong', severity: 'warn', ...message('zero-end-wrong') }];
  }
  return [...ofEachCell(nulls).flatMap(wrongRow), ...markFindings(bench)];
}

const ofEachCell = (nulls: readonly ResolvedNull[]): Placed[][] =>
  [1, 2].map((cell) => nulls.filter(isPlaced).filter(({ labels }) => labels.cell === cell && !labels.load));

const fromOtherEnd = ({ touch, labels, scaleCm }: Placed): number => {
  const { wire } = touch.bench.bench;
  return lengthFromA(
    { ...wire, zeroEnd: wire.zeroEnd === 'left' ? 'right' : 'left' },
    labels.row ?? 1,
    scaleCm,
  );
};

/** Largest relative distance of length times current from its middle value. */
function spread(nulls: readonly Placed[], lengthOf: (nullPoint: Placed) => number): number {
  const products = nulls.map((nullPoint) => lengthOf(nullPoint) * nullPoint.current.mA);
  const middle = middleOf(products);
  return Math.max(...products.map((product) => Math.abs(product / middle - 1)));
}

const middleOf = (values: readonly number[]): number =>
  values.toSorted((a, b) => a - b)[Math.floor(values.length / 2)];

/** The null that disagrees with all others, which agree, and agrees with them on another row. */
function wrongRow(nulls: readonly Placed[]): Finding[] {
  if (new Set(nulls.map(({ set }) => set)).size < 3) return [];
  const nullPoint = furthestFrom(middleOf(nulls.map(productOf)), nulls);
  const others = nulls.filter((other) => other !== nullPoint);
  if (spread(others, ({ lengthCm }) => lengthCm) > AGREES) return [];
  const due = middleOf(others.map(productOf)) / nullPoint.current.mA;
  const row = Math.abs(nullPoint.lengthCm / due - 1) < DISAGREES ? null : rowFor(nullPoint, due);
  if (row === null) return [];
  const where = { set: nullPoint.set, cell: nullPoint.labels.cell ?? 0 };
  const text = message('row-wrong', { id: nullPoint.id, row, said: nullPoint.labels.row ?? 0 });
  return [{ code: 'zero-end-or-row-wrong', severity: 'warn', ...where, ...text }];
}

const productOf = ({ lengthCm, current }: Placed): number => lengthCm * current.mA;

const furthestFrom = (middle: number, nulls: readonly Placed[]): Placed =>
  nulls.reduce((most, one) =>
    Math.abs(productOf(one) - middle) > Math.abs(productOf(most) - middle) ? one : most,
  );

/** The row on which the null's scale reading makes the length that is due; null for none. */
function rowFor({ touch, scaleCm }: Placed, dueCm: number): number | null {
  const { wire } = touch.bench.bench;
  for (let row = 1; row <= wire.rows; row += 1) {
    if (Math.abs(lengthFromA(wire, row, scaleCm) / dueCm - 1) < AGREES) return row;
  }
  return null;
}

/** A mark that its neighbours put elsewhere by so much was mistyped or held wrongly: no sensor bends so in one place. */
const MARK_OFF_CM = 0.4;
const TIMES_OTHERS = 3;

function markFindings({ position }: Bench): Finding[] {
  const points = (position?.points ?? []).toSorted((a, b) => a.counts - b.counts);
  const off = points.slice(1, -1).map((point, index) => {
    const [before, after] = [points[index], points[index + 2]];
    const share = (point.counts - before.counts) / (after.counts - before.counts);
    return { point, offCm: point.scaleCm - (before.scaleCm + share * (after.scaleCm - before.scaleCm)) };
  });
  const worst = off.reduce<(typeof off)[number] | null>(
    (most, one) => (most === null || Math.abs(one.offCm) > Math.abs(most.offCm) ? one : most),
    null,
  );
  if (worst === null || Math.abs(worst.offCm) < MARK_OFF_CM) return [];
  // Its neighbours are drawn along by half as much each; a sensor that is bent as a whole is off everywhere alike.
  const others = off.filter((one) => one !== worst).map(({ offCm }) => Math.abs(offCm));
  const isAlone =
    others.length === 0 || Math.abs(worst.offCm) > TIMES_OTHERS * middleOf(others) || others.length <= 2;
  if (!isAlone) return [];
  const text = message('mark-off', {
    mark: String(worst.point.scaleCm),
    offCm: Math.abs(worst.offCm).toFixed(1),
  });
  return [{ code: 'calibration-mark-off', severity: 'warn', ...text }];
}
