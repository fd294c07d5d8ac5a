import { likelyEndCm } from './assumed-sizes.ts';
import type { BalancingLength, BenchKnowledge, ComparisonSet } from './balancing-length.ts';
import { compareEmfs } from './comparison.ts';
import { drawnSets } from './drawn-sets.ts';
import type { Formulas } from './formulas.ts';
import type { Message, Refused } from './message.ts';
import { message } from './messages.ts';

/** A run planned before anyone closes the key: settings of the rheostat, where the nulls will lie, what U to expect. */

export interface PlanRequest {
  bench: BenchKnowledge;
  driverEmfV: number;
  driverResistanceOhm: number;
  /** Smallest and largest resistance of the rheostat. */
  rheostatOhm: readonly [number, number];
  emf1V: number;
  emf2V: number;
  galvanometerOhm: number;
  sets: number;
  /** Standard uncertainty expected of one reading of a null, in cm. */
  uReadCm: number;
  /** Row, scale reading and sense of a length from A on this wire. */
  place: (lengthCm: number) => { row: number; scaleCm: number; scaleSense: 1 | -1 };
  coverage?: number;
  formulas: Formulas;
}

export interface PlannedNull {
  lengthCm: number;
  row: number;
  scaleCm: number;
  /** Change of galvanometer current per mm of wire, protective resistance out. */
  sensitivityUaPerMm: number;
}

export interface PlannedSet {
  set: number;
  rheostatOhm: number;
  driverMa: number;
  null1: PlannedNull;
  null2: PlannedNull;
}

export interface Plan {
  sets: PlannedSet[];
  /** Balancing lengths of the cell with the larger EMF that the rheostat can reach, in cm. */
  reachCm: { shortest: number; longest: number };
  /** Expected expanded uncertainty of E1/E2; null where it cannot be told. */
  expectedU: number | null;
  heating: { largestMa: number; wattsPerMetre: number };
  cautions: Message[];
}

export type PlanAnswer = { ok: true; plan: Plan } | Refused;

/** Larger EMF's null, as shares of the wire: on the last row of up to 20 rows, and far enough from it to tell the end correction. */
const LONGEST_SHARE = 0.96;
const SHORTEST_SHARE = 0.5;
/** Above this a resistance wire of usual thickness runs some kelvin warm, and its resistance with it. */
const WARM_W_PER_M = 0.2;
/** Above this it is too hot to touch. Both figures: common practice, no source; 0.4 mm bare wire in still air. */
const HOT_W_PER_M = 2;

/** No plan takes the rheostat out altogether, as docs/safety.md has it: this share of the wire's resistance stays in circuit (our judgement, no source). */
const LEAST_RHEOSTAT_SHARE = 0.05;

function keepingRheostatIn(request: PlanRequest): PlanRequest {
  const [least, most] = request.rheostatOhm;
  return {
    ...request,
    rheostatOhm: [
      Math.max(least, Math.min(LEAST_RHEOSTAT_SHARE * request.bench.wireResistanceOhm, most)),
      most,
    ],
  };
}

/** @param given settings of the rheostat below `LEAST_RHEOSTAT_SHARE` are not used */
export function planRun(given: PlanRequest): PlanAnswer {
  const wrong = senselessRequest(given);
  const request = keepingRheostatIn(given);
  if (wrong !== null) return { ok: false, ...wrong };
  const longest = lengthAt(request, larger(request), request.rheostatOhm[1]);
  const shortest = lengthAt(request, larger(request), request.rheostatOhm[0]);
  const { wireLengthCm } = request.bench;
  if (shortest >= wireLengthCm) return { ok: false, ...tooWeak(request, shortest) };
  const from = Math.min(longest, LONGEST_SHARE * wireLengthCm);
  const to = Math.min(from, Math.max(shortest, SHORTEST_SHARE * wireLengthCm));
  const sets = Array.from({ length: request.sets }, (_, index) =>
    plannedSet(request, index + 1, from - ((from - to) * index) / Math.max(1, request.sets - 1)),
  );
  const heating = heatingOf(request, sets);
  const cautions = [...reachCautions(request, longest, from, to), ...heatCautions(heating)];
  const reachCm = { shortest, longest: Math.min(longest, wireLengthCm) };
  return { ok: true, plan: { sets, reachCm, expectedU: expectedU(request, sets), heating, cautions } };
}

const larger = (request: PlanRequest): number => Math.max(request.emf1V, request.emf2V);

function senselessRequest(request: PlanRequest): Message | null {
  const { driverEmfV, emf1V, emf2V, galvanometerOhm, uReadCm, driverResistanceOhm, sets } = request;
  const [least, most] = request.rheostatOhm;
  const positive = [driverEmfV, emf1V, emf2V, galvanometerOhm, uReadCm].every(
    (value) => value > 0 && Number.isFinite(value),
  );
  if (!positive) return message('plan-not-above-0');
  if (!(driverResistanceOhm >= 0 && least >= 0 && most >= least)) return message('plan-resistances');
  if (!(Number.isInteger(sets) && sets >= 1)) return message('plan-no-set');
  if (driverEmfV <= larger(request)) {
    return message('plan-weak-driver', { driverV: driverEmfV, cellV: larger(request) });
  }
  return null;
}

const currentA = ({ driverEmfV, driverResistanceOhm, bench }: PlanRequest, rheostatOhm: number): number =>
  driverEmfV / (driverResistanceOhm + rheostatOhm + bench.wireResistanceOhm);

/** Gradient = current·resistance per cm; the null lies where the wire's voltage is the cell's EMF. */
const lengthAt = (request: PlanRequest, emfV: number, rheostatOhm: number): number =>
  (emfV * request.bench.wireLengthCm) / (currentA(request, rheostatOhm) * request.bench.wireResistanceOhm) -
  likelyEndCm(request.bench);

const tooWeak = (request: PlanRequest, shortest: number): Message =>
  message('plan-beyond-wire', {
    ohm: Number(request.rheostatOhm[0].toPrecision(2)),
    cm: shortest.toFixed(0),
  });

function plannedSet(request: PlanRequest, set: number, longerCm: number): PlannedSet {
  const { bench, driverEmfV, driverResistanceOhm } = request;
  const gradient = larger(request) / (longerCm + likelyEndCm(bench));
  const current = (gradient * bench.wireLengthCm) / bench.wireResistanceOhm;
  return {
    set,
    rheostatOhm: Math.max(
      request.rheostatOhm[0],
      driverEmfV / current - bench.wireResistanceOhm - driverResistanceOhm,
    ),
    driverMa: current * 1e3,
    null1: plannedNull(request, request.emf1V, gradient, current),
    null2: plannedNull(request, request.emf2V, gradient, current),
  };
}

/** Sensitivity: gradient over the resistance of the galvanometer's branch with the wire's Thevenin resistance a(T - a)/T. */
function plannedNull(
  request: PlanRequest,
  emfV: number,
  gradientVPerCm: number,
  current: number,
): PlannedNull {
  const lengthCm = emfV / gradientVPerCm - likelyEndCm(request.bench);
  const a = emfV / current;
  const total = request.driverEmfV / current;
  const branchOhm = request.galvanometerOhm + (a * (total - a)) / total;
  const { row, scaleCm } = request.place(lengthCm);
  return { lengthCm, row, scaleCm, sensitivityUaPerMm: ((gradientVPerCm / 10) * 1e6) / branchOhm };
}

/** Runs that are drawn for the uncertainty to expect: an odd number, for the one in the middle. */
const DRAWN_RUNS = 9;
/** A minute for each null, and one to set the rheostat. */
const MINUTES_A_SET = 3;

/**
 * What U to expect: the middle one of some runs drawn on an ordinary bench like this. Lengths without errors would not do, for
 * sets that agree exactly speak for a perfect wire.
 */
function expectedU(request: PlanRequest, sets: readonly PlannedSet[]): number | null {
  const expected = sets.map(
    ({ set, driverMa, null1, null2 }, index): ComparisonSet => ({
      set,
      driverMa,
      l1: expectedLength(request, null1.lengthCm, 60 * MINUTES_A_SET * index),
      l2: expectedLength(request, null2.lengthCm, 60 * (MINUTES_A_SET * index + 1)),
    }),
  );
  const { coverage, formulas, bench } = request;
  const found = drawnSets(expected, bench, DRAWN_RUNS).flatMap(
    (drawn) => compareEmfs(drawn, bench, { formulas, coverage }).result?.U ?? [],
  );
  return found.sort((a, b) => a - b)[Math.floor(found.length / 2)] ?? null;
}

function expectedLength(request: PlanRequest, lengthCm: number, atS: number): BalancingLength {
  const { row, scaleCm, scaleSense } = request.place(lengthCm);
  return {
    lengthCm,
    uOwnCm: request.uReadCm,
    ownDof: Number.POSITIVE_INFINITY,
    common: {},
    sensorScaleCm: request.bench.position === null ? null : scaleCm,
    scaleSense,
    row,
    atS,
  };
}

function heatingOf({ bench }: PlanRequest, sets: readonly PlannedSet[]): Plan['heating'] {
  const largestMa = Math.max(...sets.map((set) => set.driverMa));
  const watts = (largestMa * 1e-3) ** 2 * bench.wireResistanceOhm;
  return { largestMa, wattsPerMetre: watts / (bench.wireLengthCm / 100) };
}

function reachCautions({ bench }: PlanRequest, longest: number, from: number, to: number): Message[] {
  const cautions: Message[] = [];
  if (longest < bench.wireLengthCm - bench.rowLengthCm) {
    cautions.push(message('plan-short-reach', { cm: longest.toFixed(0) }));
  }
  if (from - to < 0.2 * from) {
    cautions.push(message('plan-close-settings'));
  }
  return cautions;
}

function heatCautions({ largestMa, wattsPerMetre }: Plan['heating']): Message[] {
  const load = { mA: largestMa.toFixed(0), watts: wattsPerMetre.toPrecision(2) };
  if (wattsPerMetre > HOT_W_PER_M) return [message('plan-hot', load)];
  return wattsPerMetre > WARM_W_PER_M ? [message('plan-warm', load)] : [];
}
