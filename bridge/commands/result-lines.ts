import type { Outcome } from '../calc-core/outcome.ts';
import { withUncertainty } from '../calc-core/rounding.ts';
import type { ComparisonSetView, LoadSetView, RunView, RunWork } from '../run/view.ts';
import { orDash, table } from './figures.ts';

/** The table of observations and the result of a run, for a terminal. */
export function resultLines(view: RunView): string[] {
  const { work } = view;
  const emf = work.procedure === 'emf-comparison' ? (work.emf?.result ?? null) : null;
  const stops = view.findings.filter((finding) => finding.severity !== 'note');
  return [
    ...setLines(work),
    '',
    ...outcomeLines(work, work.outcome?.result ?? null),
    ...(emf === null ? [] : outcomeLines(work, emf)),
    ...correctionLines(work),
    ...stops.map((finding) => `${finding.severity}: ${finding.text}`),
  ];
}

function setLines(work: RunWork): string[] {
  if (work.sets.length === 0) return ['no set of observations yet'];
  return work.procedure === 'emf-comparison' ? comparisonTable(work.sets) : loadTable(work.sets);
}

const comparisonTable = (sets: ComparisonSetView[]): string[] =>
  table([
    ['set', 'driver mA', 'l1 cm', 'u cm', 'l2 cm', 'u cm', 'l1/l2', 'u'],
    ...sets.map((set) => [
      String(set.set),
      orDash(set.driverMa, 1),
      orDash(set.l1Cm, 3),
      orDash(set.u1Cm, 3),
      orDash(set.l2Cm, 3),
      orDash(set.u2Cm, 3),
      orDash(set.ratio, 5),
      orDash(set.uRatio, 5),
    ]),
  ]);

const loadTable = (sets: LoadSetView[]): string[] =>
  table([
    ['set', 'driver mA', 'load ohm', 'l0 cm', 'u cm', 'l cm', 'u cm', 'r ohm', 'u'],
    ...sets.map((set) => [
      String(set.set),
      orDash(set.driverMa, 1),
      orDash(set.loadOhm, 2),
      orDash(set.l0Cm, 3),
      orDash(set.u0Cm, 3),
      orDash(set.lCm, 3),
      orDash(set.uCm, 3),
      orDash(set.rOhm, 4),
      orDash(set.uROhm, 4),
    ]),
  ]);

function outcomeLines(work: RunWork, result: Outcome | null): string[] {
  if (result === null) return ['no result yet: the findings below say why'];
  const unit = result.unit === '1' ? '' : ` ${result.unit}`;
  const dof = result.dof === null || result.dof > 1000 ? 'over 1000' : result.dof.toFixed(1);
  return [
    `${result.quantity} = ${withUncertainty(result.value, result.U)}${unit}`,
    `  U at ${Math.round(100 * result.coverage)} % coverage, k = ${result.k.toFixed(2)}, ${dof} degrees of freedom, ${work.sets.length} sets`,
  ];
}

function correctionLines({ outcome }: RunWork): string[] {
  const correction = outcome?.endCorrectionCm ?? null;
  if (correction === null) return [];
  return [
    `end correction at A: ${withUncertainty(correction.value, correction.u)} cm (standard uncertainty)`,
  ];
}
