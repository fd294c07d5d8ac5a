import type { Bench } from '../../bench/bench-file.ts';
import { wireLengthCm } from '../../bench/geometry.ts';
import { statedEmfV, voltmeterUV } from '../../bench/stated-emf.ts';
import type { Message } from '../../calc-core/message.ts';
import type { Outcome } from '../../calc-core/outcome.ts';
import { message } from '../../messages/catalogue.ts';
import type { ComparisonWork, Finding, RunWork } from '../view.ts';

/** The null's word against the meters': a voltmeter can't tell E1/E2 finely, but it can tell a blunder. */

/** What a school voltmeter may be off by beyond its least count, relative (common practice, no source). */
const VOLTMETER_RELATIVE = 0.03;
/** The same of an ammeter and the stated resistance of the wire together. */
export const AMMETER_RELATIVE = 0.15;
/** A ratio so near to 1, or to the voltmeter's turned about, tells which blunder it was. */
const NEAR = 0.01;

export function meterFindings(bench: Bench, work: RunWork): Finding[] {
  if (work.procedure !== 'emf-comparison') return [];
  const result = work.outcome?.result ?? null;
  return [...(result === null ? [] : againstVoltmeter(bench, result)), ...againstAmmeter(bench, work)];
}

const disagree = (said: Message, where: Pick<Finding, 'set' | 'cell'> = {}): Finding => ({
  code: 'meters-disagree',
  severity: 'warn',
  ...where,
  ...said,
});

/** A blunder is looked for here, so what blunders add to the result's standard uncertainty is left out: half of U stands for it. */
function againstVoltmeter(bench: Bench, { value, U }: Outcome): Finding[] {
  const [first, second] = [statedEmfV(bench, 1), statedEmfV(bench, 2)];
  if (first === undefined || second === undefined) return [];
  const stated = first / second;
  const uStated = stated * (voltmeterUV(bench) ?? 0) * Math.hypot(1 / first, 1 / second);
  if (Math.abs(value - stated) < 3 * Math.hypot(uStated, U / 2) + VOLTMETER_RELATIVE * stated) return [];
  const values = { ratio: value.toFixed(4), stated: stated.toFixed(3) };
  return [disagree(message('ratio-unlike-voltmeter', { ...values, why: likelyBlunder(value, stated) }))];
}

function likelyBlunder(value: number, stated: number): Message {
  if (Math.abs(value - 1) < NEAR) return message('blunder-one-cell');
  return Math.abs(value * stated - 1) < 2 * VOLTMETER_RELATIVE
    ? message('blunder-cells')
    : message('blunder-other');
}

/** The voltage along the wire to a null, by ammeter and resistance; the first set that is far off stands for all. */
function againstAmmeter(bench: Bench, { sets }: ComparisonWork): Finding[] {
  for (const { set, driverMa, l1Cm, l2Cm } of sets) {
    for (const [cell, lengthCm] of [
      [1, l1Cm],
      [2, l2Cm],
    ] as const) {
      const stated = statedEmfV(bench, cell);
      if (driverMa === null || lengthCm === null || stated === undefined) continue;
      const volts = ((driverMa / 1000) * bench.wire.resistanceOhm * lengthCm) / wireLengthCm(bench.wire);
      if (Math.abs(volts - stated) < AMMETER_RELATIVE * stated) continue;
      const found = { mA: driverMa.toFixed(1), volts: volts.toFixed(2), stated: String(stated) };
      return [disagree(message('null-unlike-ammeter', { set, cell, ...found }), { set, cell })];
    }
  }
  return [];
}
