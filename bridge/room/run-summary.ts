import { withoutResults } from '../run/hidden-results.ts';
import { nextStep } from '../run/next-step.ts';
import type { Finding, RunView } from '../run/view.ts';
import type { Summary } from './messages.ts';

/** What the room is told of a run, from its view. */

const GRAVITY: Record<Finding['severity'], number> = { stop: 0, warn: 1, note: 2 };

/** That a run has just begun is no fault of it. */
const gravestOf = (findings: readonly Finding[]): Finding | undefined =>
  findings
    .filter(({ code }) => code !== 'too-few-sets')
    .sort((one, other) => GRAVITY[one.severity] - GRAVITY[other.severity])[0];

export interface RunProgress {
  endsTried: number;
  nulls: number;
  setsDone: number;
}

/** Anything of this that grows is progress. */
export function progressOf({ endsTried, nulls, work }: RunView): RunProgress {
  const ends = endsTried.reduce((sum, { a, b }) => sum + Number(a) + Number(b), 0);
  const done =
    work.procedure === 'emf-comparison'
      ? work.sets.filter(({ ratio }) => ratio !== null)
      : work.sets.filter(({ rOhm }) => rOhm !== null);
  return { endsTried: ends, nulls: nulls.filter(({ used }) => used).length, setsDone: done.length };
}

type SaidByStation = Pick<Summary, 'bench' | 'quietS' | 'ended' | 'calls' | 'bytes'>;

export function summaryOf(view: RunView, station: SaidByStation): Summary {
  // Who reads what the broker keeps may be anybody.
  const shown = withoutResults(view);
  const result = shown.work.outcome?.result ?? null;
  const last = view.nulls.at(-1);
  const finding = gravestOf(shown.findings);
  return {
    v: 1,
    ...station,
    procedure: view.work.procedure,
    step: nextStep(view).do,
    set: view.labels.set.value,
    cell: view.labels.cell.value,
    ...progressOf(view),
    lastNull:
      last === undefined ? null : { id: last.id, lengthCm: last.lengthCm, uCm: last.uCm, atS: last.atS },
    result: result && { quantity: result.quantity, value: result.value, U: result.U, unit: result.unit },
    finding: finding === undefined ? null : { code: finding.code, severity: finding.severity },
    linkUp: view.linkUp,
    atS: view.durationS,
  };
}
