import type { FullKnowledge } from './assumed-sizes.ts';
import { endCorrectionOf, endStatementHolds, type NamedFit, SCALED_MEANINGS } from './averaged-outcome.ts';
import type { FittedPart } from './averaged-problem.ts';
import { amountOf } from './breakdown.ts';
import type { NamedLength } from './length-effects.ts';
import type { Message } from './message.ts';
import { message } from './messages.ts';
import type { CalculationFault } from './outcome.ts';
import { CONTRADICTED, partOfRow, type ScaledName, timesMin } from './scaled-effects.ts';

/** What the average over models finds wrong with a bench or a run, by name, and every cause left where it can't tell. */

/** A size so many times the stated or ordinary one is no longer what the interval reckons with as a matter of course. */
const GROSS: Readonly<Record<ScaledName, number>> = { walk: 3, rows: 3, cells: 4 };
/** Something is wrong where this is the probability of it, and the sets have raised its odds by this much. */
const LIKELY = 0.5;
const RAISED = 1.3;
/** Beside the likeliest cause another is named from here on. */
const POSSIBLE = 0.15;

interface Cause {
  probability: number;
  fault: CalculationFault;
}

export function causes(
  fit: NamedFit,
  lengths: readonly NamedLength[],
  bench: FullKnowledge,
): CalculationFault[] {
  const wrong = shareOf(fit, (part) => isGross(fit, part));
  const before = grossBefore(fit);
  // the odds, without a division: where everything speaks for it there is no number for them
  const isWrong = wrong > LIKELY && wrong * (1 - before) > RAISED * before * (1 - wrong);
  const named = [unevenWire(fit, lengths, bench), changedCell(fit, lengths, bench), ...offSets(fit)];
  const found = named
    .filter(({ probability }) => isWrong && probability > POSSIBLE)
    .map(({ fault }) => fault);
  return [...found, ...contradictions(fit, bench), ...endFaults(fit, bench)];
}

const shareOf = ({ parts }: NamedFit, is: (part: FittedPart) => boolean): number =>
  parts.reduce((sum, part) => sum + (is(part) ? part.weight : 0), 0);

/** How probable it was before the sets were looked at. */
function grossBefore(fit: NamedFit): number {
  const sizes = fit.problem.scenarios.reduce(
    (sum, { factors, probability }) =>
      sum + (fit.scaled.some(({ name }, which) => factors[which] > GROSS[name]) ? probability : 0),
    0,
  );
  const noSlip = fit.slips.reduce(
    (product, { sizes: ofSlip }) =>
      product * (1 - ofSlip.reduce((sum, { probability }) => sum + probability, 0)),
    1,
  );
  return 1 - (1 - sizes) * noSlip;
}

/** Beyond what a sound bench has: a slip, or an effect several times its size. */
const isGross = (fit: NamedFit, part: FittedPart): boolean =>
  part.slips.length > 0 || fit.scaled.some((_, which) => isLarge(fit, part, which));

const isLarge = ({ scaled }: NamedFit, part: FittedPart, which: number): boolean =>
  part.scenario.factors[which] > GROSS[scaled[which].name];

const placeOf = ({ scaled }: NamedFit, name: ScaledName): number =>
  scaled.findIndex((effect) => effect.name === name);

const largeShare = (fit: NamedFit, name: ScaledName): number => {
  const which = placeOf(fit, name);
  return shareOf(fit, (part) => isLarge(fit, part, which));
};

function unevenWire(fit: NamedFit, lengths: readonly NamedLength[], bench: FullKnowledge): Cause {
  const probability = Math.max(largeShare(fit, 'rows'), largeShare(fit, 'walk'));
  const { row, percent } = worstRow(fit, lengths, bench);
  return {
    probability,
    fault: { code: 'row-uneven', severity: 'warn', ...message('row-uneven', { row, percent }) },
  };
}

/** The row that the sets want changed most, and by how many per cent of its resistance. */
function worstRow(fit: NamedFit, lengths: readonly NamedLength[], bench: FullKnowledge) {
  const which = placeOf(fit, 'rows');
  const rows = Math.ceil(bench.wireLengthCm / bench.rowLengthCm);
  const amounts = Array.from({ length: rows }, (_, index) => {
    const column = columnOver(fit, lengths, (named) =>
      partOfRow(index + 1, named.length.lengthCm, bench.rowLengthCm),
    );
    // A row of more resistance makes the lengths shorter than they would be.
    return -amountOf(fit.worked, fit, which, column) * bench.rowSpreadRelative ** 2;
  });
  const worst = amounts.reduce(
    (most, amount, index) => (Math.abs(amount) > Math.abs(amounts[most]) ? index : most),
    0,
  );
  return { row: worst + 1, percent: (100 * amounts[worst]).toPrecision(2) };
}

const columnOver = (
  fit: NamedFit,
  lengths: readonly NamedLength[],
  of: (named: NamedLength, index: number) => number,
): number[] =>
  Array.from({ length: fit.inputs }, (_, index) => (index < lengths.length ? of(lengths[index], index) : 0));

function changedCell(fit: NamedFit, lengths: readonly NamedLength[], bench: FullKnowledge): Cause {
  const jumping = shareOf(fit, ({ slips }) => slips.some(({ slip }) => fit.slips[slip].name === 'jump'));
  const drifting = largeShare(fit, 'cells');
  const rates = ([1, 2] as const).map((cell) => rateOf(fit, lengths, bench, cell));
  const falling = Math.abs(rates[0]) > Math.abs(rates[1]) ? 0 : 1;
  const text = jumping > drifting ? jumpMessage(fit) : driftMessage(falling + 1, rates[falling]);
  return {
    probability: Math.max(jumping, drifting),
    fault: { code: 'cell-changed', severity: 'warn', ...text },
  };
}

const driftMessage = (cell: number, perMin: number): Message =>
  message('cell-drifts', { cell, percent: (100 * perMin).toPrecision(2) });

function jumpMessage(fit: NamedFit): Message {
  const shares = fit.slips.map((slip, index) =>
    slip.name === 'jump' ? shareOf(fit, ({ slips }) => slips.some((picked) => picked.slip === index)) : 0,
  );
  const jump = fit.slips[shares.indexOf(Math.max(...shares))];
  return message('cell-jumped', { set: jump.name === 'jump' ? jump.afterSet : 0 });
}

/** What the sets say of a cell's steady drift: relative change a minute. */
function rateOf(fit: NamedFit, lengths: readonly NamedLength[], bench: FullKnowledge, cell: 1 | 2): number {
  const minutes = timesMin(lengths);
  const middle = (Math.min(...minutes) + Math.max(...minutes)) / 2;
  const column = columnOver(fit, lengths, (named, index) =>
    named.cell === cell ? named.length.lengthCm * (minutes[index] - middle) : 0,
  );
  return amountOf(fit.worked, fit, placeOf(fit, 'cells'), column) * bench.steadyRelativePerMin[cell] ** 2;
}

function offSets(fit: NamedFit): Cause[] {
  const sets = new Set(fit.slips.flatMap((slip) => (slip.name === 'set-off' ? [slip.set] : [])));
  const isOff = (set: number, at: number) => {
    const slip = fit.slips[at];
    return slip.name === 'set-off' && slip.set === set;
  };
  return [...sets].map((set) => ({
    probability: shareOf(fit, ({ slips }) => slips.some(({ slip }) => isOff(set, slip))),
    fault: { code: 'set-outlying', severity: 'warn', ...message('set-off', { set }) },
  }));
}

/** What a bench file states and the sets deny. */
function contradictions(fit: NamedFit, bench: FullKnowledge): CalculationFault[] {
  const denied = fit.scaled.filter(
    ({ stated }, which) =>
      !bench.assumed.has(stated) &&
      shareOf(fit, ({ scenario }) => scenario.factors[which] >= CONTRADICTED) > LIKELY,
  );
  return denied.map(({ name }) => ({
    code: 'bench-file-contradicted',
    severity: 'warn',
    ...message('statement-contradicted', { what: SCALED_MEANINGS[name] }),
  }));
}

/** An end correction beyond this is no longer ordinary. */
const LARGE_END_CM = 2;

function endFaults(fit: NamedFit, bench: FullKnowledge): CalculationFault[] {
  const { value, u } = endCorrectionOf(fit);
  const found = { cm: value.toFixed(2), uCm: String(Number(u.toPrecision(2))) };
  if (!bench.assumed.has('endCorrection') && endStatementHolds(fit) < 1 - LIKELY) {
    return [
      { code: 'bench-file-contradicted', severity: 'warn', ...message('end-correction-contradicts', found) },
    ];
  }
  if (Math.abs(value) <= 2 * u) return [];
  const severity = Math.abs(value) > LARGE_END_CM ? 'warn' : 'note';
  return [{ code: 'end-correction-significant', severity, ...message('end-correction-counts', found) }];
}
