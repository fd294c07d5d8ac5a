import type { BenchReader } from '../../bench/reading.ts';
import { isReference } from '../../bench/stated-emf.ts';
import type { Message } from '../../calc-core/message.ts';
import { message } from '../../messages/catalogue.ts';
import type { DeflectionMap, MapPoint } from '../deflection-map.ts';
import { byLength, endsTouched } from '../deflection-map.ts';
import type { ResolvedNull } from '../resolved-null.ts';
import type { Finding } from '../view.ts';
import { wireJumps } from './broken-wire.ts';
import { LEADS, NO_AMMETER } from './causes.ts';
import { sameSign } from './same-sign.ts';
import { zeroEndLooksWrong } from './wrong-place.ts';

/**
 * The connection check: at the wire's ends the galvanometer must deflect opposite ways. Where it does not, sign,
 * trend along the wire and driver current narrow the fault; what they can't decide is said with every cause left.
 */

/**
 * @param inForce the bench that is in force now
 * @param stillCell the cell with which nothing has deflected for long; null where there is none
 */
export function connectionFindings(
  inForce: BenchReader,
  nulls: readonly ResolvedNull[],
  maps: readonly DeflectionMap[],
  stillCell: number | null,
): Finding[] {
  const nullOf = ({ set, cell }: DeflectionMap) =>
    nulls.find(
      (nullPoint) => nullPoint.set === set && nullPoint.labels.cell === cell && nullPoint.rejected === null,
    );
  const judged = maps.flatMap((map) => (nullOf(map) === undefined ? judge(inForce, map) : []));
  const findings = [...judged, ...neverDeflected(stillCell, maps)];
  const swapped = nulls.find(runsBackward);
  // The wrong zero end turns the sign along the wire, too.
  if (swapped === undefined || zeroEndLooksWrong(nulls)) return onceTurned(findings);
  const map = maps.find(({ set, cell }) => set === swapped.set && cell === swapped.labels.cell);
  return onceTurned([turnedAbout(map?.driver ?? 'unknown', swapped.id), ...findings]);
}

/** Leads, or driver and cells, are turned once for all sets and cells: said once. */
function onceTurned(findings: Finding[]): Finding[] {
  const turned = ({ descriptor }: Finding) => descriptor.key === 'leads-turned';
  const first = findings.find(turned);
  return findings.filter((finding) => !turned(finding) || finding === first);
}

/** - towards A and + towards B: the null is where it would be, and is used. */
function turnedAbout(driver: DeflectionMap['driver'], id: string | null): Finding {
  const both = message('driver-and-cells-back');
  const reversed = driver === 'none' || driver === 'backward';
  const either = driver === 'unknown' ? message('one-or-other', { one: LEADS, other: both }) : LEADS;
  return {
    code: reversed ? 'driver-reversed' : 'galvanometer-reversed',
    severity: 'warn',
    ...message('leads-turned', { id, cause: reversed ? both : either }),
  };
}

/** Current that grows with the length from A, against the sign the bench file states. */
function runsBackward(nullPoint: ResolvedNull): boolean {
  if (nullPoint.slope === null || nullPoint.lengthCm === null || nullPoint.rejected !== null) return false;
  return nullPoint.slope * nullPoint.sense * nullPoint.touch.bench.bench.galvanometer.microampsPerCount > 0;
}

function judge(inForce: BenchReader, map: DeflectionMap): Finding[] {
  const signs = new Set(map.points.map((point) => point.sign));
  const where = { set: map.set, cell: map.cell };
  if (!signs.has(1) && !signs.has(-1)) return noDeflection(map, where);
  if (signs.has(1) && signs.has(-1)) return bothSigns(inForce, map, where);
  const ends = endsTouched(map);
  return ends.a && ends.b ? [sameSign(map)] : notYet(map, where);
}

type Where = { set: number; cell: number };

function noDeflection(map: DeflectionMap, where: Where): Finding[] {
  if (map.points.length < 2) return [];
  return [{ code: 'no-galvanometer-current', severity: 'stop', ...where, ...message('no-deflection') }];
}

/** Without a sense of contact a current that never leaves zero is no touch, and may be a lifted jockey's. */
function neverDeflected(cell: number | null, maps: readonly DeflectionMap[]): Finding[] {
  if (cell === null || maps.some((map) => map.cell === cell)) return [];
  const said = message('no-deflection-or-lifted', { still: message('no-deflection') });
  return [{ code: 'no-galvanometer-current', severity: 'note', cell, ...said }];
}

/** Fewer touches that all deflect one way are no reason to say anything yet. */
const TELLING_TOUCHES = 3;

function notYet(map: DeflectionMap, where: Where): Finding[] {
  if (map.points.length < TELLING_TOUCHES || isReference(map.bench, map.cell)) return [];
  const said = message('one-direction-only', { cell: map.cell });
  return [{ code: 'null-not-bracketed', severity: 'note', ...where, ...said }];
}

/** Opposite signs without a null: a break in the wire, or simply not swept yet. */
function bothSigns(inForce: BenchReader, map: DeflectionMap, where: Where): Finding[] {
  const points = byLength(map.points);
  const at = points.findIndex((point, index) => index > 0 && point.sign !== points[index - 1].sign);
  const [before, after] = [points[at - 1], points[at]];
  const between = { fromCm: before.lengthCm.toFixed(1), toCm: after.lengthCm.toFixed(1) };
  const backward = points[0].sign === -1;
  if (wireJumps(map, points, at)) return broken(where, { ...between, idle: false, others: [] });
  if (map.driver === 'none') {
    const other = backward ? message('driver-and-cell-back') : NO_AMMETER;
    return broken(where, { ...between, idle: true, others: [other] });
  }
  const turned = backward ? [turnedAbout(map.driver, null)] : [];
  const passed = spanPassed(inForce, points, before);
  const tooFast = passed !== null && spanPassed(inForce, points, after) !== null;
  return [...turned, notFoundYet(map.cell, where, between, tooFast ? passed : null)];
}

type Between = { fromCm: string; toCm: string };

/** `idle`: while no driver current flows. */
const broken = (where: Where, found: Between & { idle: boolean; others: Message[] }): Finding[] => [
  { code: 'wire-broken', severity: 'stop', ...where, ...message('wire-jumps', found) },
];

/** @param spanPassed what of the wire the galvanometer's span covers, where the jockey passed over it too fast */
function notFoundYet(cell: number, where: Where, between: Between, spanPassed: Between | null): Finding {
  if (spanPassed !== null) {
    const said = message('saturated-about-null', { cell, ...spanPassed });
    return { code: 'saturated-near-null', severity: 'warn', ...where, ...said };
  }
  const said = message('null-between', { cell, ...between });
  return { code: 'null-not-bracketed', severity: 'note', ...where, ...said };
}

/** Ends of the span this close together are passed over within a few samples (common practice, no source). */
const NARROW_CM = 5;

/** Where the pass that a point was seen in left one end of the span and reached the other, if they lie close together. */
function spanPassed(inForce: BenchReader, points: MapPoint[], { seenIn }: MapPoint): Between | null {
  const ends = points.filter((point) => point.seenIn === seenIn && point.saturated);
  const at = ends.findIndex((end, index) => index > 0 && end.sign !== ends[index - 1].sign);
  if (at < 1 || seenIn.labels.bench !== inForce) return null;
  const [left, reached] = [ends[at - 1].lengthCm, ends[at].lengthCm];
  return reached - left < NARROW_CM ? { fromCm: left.toFixed(1), toCm: reached.toFixed(1) } : null;
}
