import type { BoardLog, CheckFinding } from './log.ts';
import { fault, note, warn } from './log.ts';
import type { StreamFigures } from './stream.ts';
import { offText } from './stream.ts';

/** Lines and samples: damaged, lost, out of step. */
export function checkStream(log: BoardLog, figures: StreamFigures | null): CheckFinding[] {
  if (log.heard.length === 0)
    return [fault('silent', 'nothing came: is it the right port, and does the board have power?')];
  return [...checkLines(log), ...(figures === null ? noSamples(log) : checkFigures(log, figures))];
}

const noSamples = (log: BoardLog): CheckFinding[] =>
  log.heard.every(({ frame }) => frame.type === 'bad')
    ? [
        fault(
          'nothing-readable',
          'bytes came, but no line of them can be read: is the baud rate right (--baud)?',
        ),
      ]
    : [fault('no-samples', 'no S lines: they must come from boot on, without being asked for')];

function checkLines(log: BoardLog): CheckFinding[] {
  // The first line is a fragment more often than not, and so is what a reset cuts off.
  const bad = log.heard
    .slice(1)
    .flatMap(({ atMs, line, frame }) => (frame.type === 'bad' ? [{ atMs, line, frame }] : []));
  const kinds = new Map<string, { count: number; atMs: number; line: string }>();
  for (const { atMs, line, frame } of bad) {
    const name = frame.field === null ? frame.reason : `${frame.reason} (${frame.field})`;
    const kind = kinds.get(name) ?? { count: 0, atMs, line };
    kinds.set(name, { ...kind, count: kind.count + 1 });
  }
  return [...kinds].map(([reason, { count, atMs, line }]) =>
    fault(
      'damaged-lines',
      `${count} of ${log.heard.length} lines are damaged: ${reason}; the first of them, after ${(atMs / 1000).toFixed(1)} s: ${JSON.stringify(line)}`,
    ),
  );
}

/** More than this deviation from the stated rate is no rounding. */
const RATE_SHARE = 0.002;
const CLOCK_SHARE = 0.01;

function checkFigures(log: BoardLog, figures: StreamFigures): CheckFinding[] {
  const findings: CheckFinding[] = [];
  const { samples, lost, boots, stuck, rateHz, worstUs } = figures;
  if (lost > 0)
    findings.push(
      warn('lost-samples', `${lost} samples are missing among ${samples + lost}: ${why(log, lost)}`),
    );
  if (stuck > 0)
    findings.push(fault('stuck', `${stuck} times seq or tUs did not go on from one sample to the next`));
  if (boots > 0)
    findings.push(warn('boots', `the board started anew ${boots} times while it was listened to`));
  if (worstUs > 0.1 * (1e6 / rateHz))
    findings.push(warn('jitter', `a step between samples was ${worstUs.toFixed(0)} µs off the mean period`));
  return [...findings, ...checkRate(log, figures)];
}

function why(log: BoardLog, lost: number): string {
  const overruns = log.heard.flatMap(({ frame }) =>
    frame.type === 'E' && frame.name === 'overrun' ? [Number(frame.argument)] : [],
  );
  const counted = overruns.reduce((sum, n) => sum + (Number.isInteger(n) ? n : 0), 0);
  if (counted === 0) return 'no overrun was reported, so they were lost on the way or not counted';
  return `the board reports ${counted} that it could not send; a lower rate or a higher baud rate helps${counted < lost ? ', the others were lost on the way' : ''}`;
}

function checkRate(log: BoardLog, { rateHz, clockError }: StreamFigures): CheckFinding[] {
  const findings: CheckFinding[] = [];
  const stated = statedRate(log);
  if (stated !== null && Math.abs(rateHz / stated - 1) > RATE_SHARE)
    findings.push(
      fault(
        'rate',
        `H states ${stated} Hz, but by the board's own clock there are ${rateHz.toFixed(2)} samples a second`,
      ),
    );
  if (clockError !== null && Math.abs(clockError) > CLOCK_SHARE)
    findings.push(
      fault('clock', `tUs runs ${offText(clockError, 1)} against this computer: is it really microseconds?`),
    );
  for (const hum of [50, 60]) {
    if (isMultiple(hum, rateHz))
      findings.push(
        note(
          'hum',
          `at ${rateHz.toFixed(0)} Hz mains hum of ${hum} Hz can't be told from a steady current: another rate is better`,
        ),
      );
  }
  return findings;
}

/** Hum folds onto nought when the mains frequency is a multiple of the sampling rate. */
const isMultiple = (humHz: number, rateHz: number): boolean => {
  const ratio = (2 * humHz) / rateHz;
  return ratio > 0.5 && Math.abs(ratio - Math.round(ratio)) < 0.02;
};

/** The rate of the last H, when all samples can have been taken at it. */
function statedRate(log: BoardLog): number | null {
  const rates = new Set(log.heard.flatMap(({ frame }) => (frame.type === 'H' ? [frame.rateHz] : [])));
  return rates.size === 1 ? [...rates][0] : null;
}
