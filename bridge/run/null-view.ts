import { lengthFromA } from '../bench/geometry.ts';
import type { Said } from '../calc-core/saying.ts';
import type { Curve } from '../detect/estimate/curve.ts';
import { evaluate } from '../detect/estimate/curve.ts';
import type { ResolvedNull } from './resolve-nulls.ts';
import type { NullPicture, NullView } from './view.ts';

/** A null as pages and reports see it. */
export function nullView(null_: ResolvedNull, whyNot: Said | null): NullView {
  const uReadCm = Math.sqrt(null_.ownVarianceCm2 + null_.lagCm ** 2 + null_.zeroCm ** 2);
  return {
    id: null_.id,
    set: null_.set,
    cell: null_.labels.cell,
    row: null_.labels.row,
    scaleCm: null_.scaleCm,
    lengthCm: null_.lengthCm,
    uCm: Math.hypot(uReadCm, null_.uPositionCm),
    uReadCm,
    fine: !null_.labels.protect,
    load: null_.labels.load,
    loadOhm: null_.labels.load ? null_.labels.loadOhm : null,
    by: null_.by,
    used: whyNot === null,
    whyNot,
    rejected: null_.rejected,
    driverMa: null_.current?.mA ?? null,
    sensitivityUaPerMm: null_.slope === null ? null : Math.abs(null_.slope * microamps(null_)) / 10,
    smallestLengthCm: 2 * uReadCm,
    atS: null_.tS,
    picture: pictureOf(null_),
  };
}

const microamps = (null_: ResolvedNull): number => null_.touch.bench.bench.galvanometer.microampsPerCount;

const CURVE_POINTS = 24;

function pictureOf(null_: ResolvedNull): NullPicture | null {
  if (null_.found.by === 'eye') return null;
  const { fit } = null_.found.found;
  const { wire } = null_.touch.bench.bench;
  const { row } = null_.labels;
  // The picture moves with the null when lag or zero become better known.
  const along = (x: number) => (row === null ? x + null_.shiftCm : lengthFromA(wire, row, x + null_.shiftCm));
  const places = curvePlaces(fit.curve);
  return {
    lengthCm: Array.from(fit.shown.x, along),
    currentUa: Array.from(fit.shown.y, (counts) => counts * microamps(null_)),
    fitLengthCm: places.map(along),
    fitCurrentUa: places.map((x) => evaluate(fit.curve, x) * microamps(null_)),
  };
}

const curvePlaces = (curve: Curve): number[] =>
  Array.from(
    { length: CURVE_POINTS },
    (_, index) => curve.centreCm + curve.halfCm * ((2 * index) / (CURVE_POINTS - 1) - 1),
  );
