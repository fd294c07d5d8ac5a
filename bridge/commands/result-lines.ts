import type { Outcome } from '../calc-core/outcome.ts';
import { fixed, plusMinus, resultText } from '../calc-core/rounding.ts';
import { message } from '../messages/catalogue.ts';
import { withoutResults } from '../run/hidden-results.ts';
import { setRows } from '../run/set-rows.ts';
import type { RunView, RunWork } from '../run/view.ts';

/** The table of observations and the result of a run, for a terminal; no result while a teacher keeps it back. */
export function resultLines(whole: RunView): string[] {
  const view = withoutResults(whole);
  const { work } = view;
  const emf = work.procedure === 'emf-comparison' ? (work.emf?.result ?? null) : null;
  const stops = view.findings.filter((finding) => finding.severity !== 'note');
  return [
    ...setLines(work),
    '',
    ...(view.resultsHidden
      ? [message('results-hidden').text]
      : outcomeLines(work, work.outcome?.result ?? null)),
    ...(emf === null ? [] : outcomeLines(work, emf)),
    ...correctionLines(work),
    ...stops.map((finding) => `${finding.severity}: ${finding.text}`),
  ];
}

const RATIO_HEAD = ['set', 'driver mA', 'l1 cm', 'u cm', 'l2 cm', 'u cm', 'l1/l2', 'u'];
const LOAD_HEAD = ['set', 'driver mA', 'load ohm', 'l0 cm', 'u cm', 'l cm', 'u cm', 'r ohm', 'u'];

function setLines(work: RunWork): string[] {
  if (work.sets.length === 0) return ['no set of observations yet'];
  return table([
    work.procedure === 'emf-comparison' ? RATIO_HEAD : LOAD_HEAD,
    ...setRows(work).map(({ set, driverMa, loadOhm, lengths, made }) => [
      String(set),
      driverMa,
      ...(loadOhm === null ? [] : [loadOhm]),
      ...[...lengths, made].flatMap(({ value, uncertainty }) => [value, uncertainty]),
    ]),
  ]);
}

/** Rows as text in columns: the first row is the head. Figures are set to the right. */
function table(rows: string[][]): string[] {
  const widths = rows[0].map((_, column) => Math.max(...rows.map((row) => row[column].length)));
  return rows.map((row) => row.map((cell, column) => cell.padStart(widths[column])).join('  '));
}

function outcomeLines(work: RunWork, result: Outcome | null): string[] {
  if (result === null) return ['no result yet: the findings below say why'];
  const coverage = `U at ${Math.round(100 * result.coverage)} % coverage, k = ${fixed(result.k, 2)}`;
  return [
    `${result.quantity} = ${resultText(result)}`,
    `  ${coverage}, averaged over models, ${work.sets.length} sets`,
  ];
}

function correctionLines({ outcome }: RunWork): string[] {
  const correction = outcome?.endCorrectionCm ?? null;
  if (correction === null) return [];
  return [`end correction at A: ${plusMinus(correction.value, correction.u, 'cm')} (standard uncertainty)`];
}
