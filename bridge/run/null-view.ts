import type { Message } from '../calc-core/message.ts';
import type { Curve } from '../detect/estimate/curve.ts';
import { evaluate } from '../detect/estimate/curve.ts';
import type { ResolvedNull } from './resolved-null.ts';
import type { NullPicture, NullView } from './view.ts';

/** A null as pages and reports see it. */
export function nullView(
  nullPoint: ResolvedNull,
  whyNot: Message | null,
  picture: NullPicture | null,
  broughtCm: number | null,
): NullView {
  const uReadCm = Math.sqrt(nullPoint.ownVarianceCm2 + nullPoint.lagCm ** 2 + nullPoint.zeroCm ** 2);
  return {
    id: nullPoint.id,
    set: nullPoint.set,
    cell: nullPoint.labels.cell,
    row: nullPoint.labels.row,
    scaleCm: nullPoint.scaleCm,
    lengthCm: nullPoint.lengthCm,
    broughtCm,
    uCm: Math.hypot(uReadCm, nullPoint.uPositionCm),
    uReadCm,
    fine: !nullPoint.labels.protect,
    load: nullPoint.labels.load,
    loadOhm: nullPoint.labels.load ? nullPoint.labels.loadOhm : null,
    by: nullPoint.by,
    used: whyNot === null,
    whyNot,
    rejected: nullPoint.rejected,
    driverMa: nullPoint.current?.mA ?? null,
    sensitivityUaPerMm:
      nullPoint.slope === null ? null : Math.abs(nullPoint.slope * microamps(nullPoint)) / 10,
    smallestLengthCm: 2 * uReadCm,
    atS: nullPoint.tS,
    picture,
  };
}

const microamps = (nullPoint: ResolvedNull): number =>
  nullPoint.touch.bench.bench.galvanometer.microampsPerCount;

const CURVE_POINTS = 24;

/** Depends on what was found and on the way the row runs alone, and not on what is learnt later. */
export function pictureOf(nullPoint: ResolvedNull): NullPicture | null {
  if (nullPoint.found.by === 'eye') return null;
  const { fit } = nullPoint.found.found;
  const fromNull = (x: number) => nullPoint.sense * (x - fit.rootCm);
  const places = curvePlaces(fit.curve);
  const drawn = (values: Iterable<number>) => Array.from(values, (value) => Number(value.toPrecision(4)));
  return {
    fromNullCm: drawn(fit.shown.x.map(fromNull)),
    currentUa: drawn(fit.shown.y.map((counts) => counts * microamps(nullPoint))),
    fitFromNullCm: drawn(places.map(fromNull)),
    fitCurrentUa: drawn(places.map((x) => evaluate(fit.curve, x) * microamps(nullPoint))),
  };
}

const curvePlaces = (curve: Curve): number[] =>
  Array.from(
    { length: CURVE_POINTS },
    (_, index) => curve.centreCm + curve.halfCm * ((2 * index) / (CURVE_POINTS - 1) - 1),
  );
