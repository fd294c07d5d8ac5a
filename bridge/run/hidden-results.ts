import type { EventLog } from './event-log.ts';
import type { RunEventOf } from './events.ts';
import type { ComparisonWork, FindingCode, ResistanceWork, RunView, RunWork, WorkingView } from './view.ts';

/** Results that a teacher keeps back until somebody's own working is handed in. */

/** Whether a finding tells something of the result; the others are of nulls, connections and the stream. */
const TELLS_RESULT: Readonly<Record<FindingCode, boolean>> = {
  'cell-reversed': false,
  'driver-below-cell': false,
  'driver-current-none': false,
  'driver-reversed': false,
  'galvanometer-reversed': false,
  'wire-broken': false,
  'no-galvanometer-current': false,
  'null-not-bracketed': false,
  'saturated-near-null': false,
  'sensitivity-low': false,
  'galvanometer-clips': false,
  'rate-too-low': false,
  'galvanometer-zero-moved': false,
  'nulls-scatter': false,
  'driver-drift': false,
  'driver-changed-within-set': false,
  'samples-lost': false,
  'lines-damaged': false,
  'board-restarted': false,
  'recording-torn': false,
  'hum-aliased': false,
  'row-unknown': false,
  'cell-unknown': false,
  'too-few-sets': false,
  'end-correction-significant': true,
  'budget-row-absent': true,
  'row-uneven': true,
  'cell-changed': true,
  'set-outlying': true,
  'result-outside-sets': true,
  'bench-file-contradicted': true,
  'calibration-mark-off': false,
  'zero-end-or-row-wrong': false,
  'bench-unknown': false,
  'bench-senseless': false,
  'event-unreadable': false,
  'protection-too-small': false,
  'meters-disagree': true,
  'reference-cell-worked': false,
  'reference-emf-unknown': false,
  'sets-senseless': true,
};

/** By the last word on it, which an undo does not take back: whoever may undo could show the results otherwise. */
export function resultsHidden(log: EventLog, working: WorkingView | null): boolean {
  const last = log.ofKind('results').at(-1)?.event as RunEventOf<'results'> | undefined;
  return last?.hidden === true && working?.isWhole !== true;
}

/** What may be seen of a run whose results are hidden: nulls and lengths, and nothing that is worked out from them. */
export function withoutResults(view: RunView): RunView {
  if (!view.resultsHidden) return view;
  return {
    ...view,
    work: lengthsOf(view.work),
    working: view.working && { ...view.working, remarks: [] },
    findings: view.findings.filter(({ code }) => !TELLS_RESULT[code]),
  };
}

const lengthsOf = (work: RunWork): RunWork =>
  work.procedure === 'emf-comparison' ? comparedLengths(work) : loadedLengths(work);

const comparedLengths = ({ procedure, sets }: ComparisonWork): ComparisonWork => ({
  procedure,
  sets: sets.map((set) => ({ ...set, ratio: null, uRatio: null })),
  outcome: null,
  emf: null,
  wireLines: [],
});

const loadedLengths = ({ procedure, sets }: ResistanceWork): ResistanceWork => ({
  procedure,
  sets: sets.map((set) => ({ ...set, rOhm: null, uROhm: null })),
  outcome: null,
});
