import type { Zero } from '../detect/lifted-level.ts';
import { aboutOf } from './about.ts';
import type { DeflectionMap } from './deflection-map.ts';
import { endsTouched } from './deflection-map.ts';
import type { Evaluation } from './evaluate.ts';
import { connectionFindings } from './findings/connection.ts';
import { meterFindings } from './findings/meters.ts';
import { qualityFindings } from './findings/quality.ts';
import { referenceFindings } from './findings/reference-cell.ts';
import { streamFindings } from './findings/stream.ts';
import { voltmeterFindings } from './findings/voltmeter.ts';
import { wastedFindings } from './findings/wasted-touches.ts';
import { placeFindings } from './findings/wrong-place.ts';
import { guidance } from './guidance.ts';
import { resultsHidden } from './hidden-results.ts';
import { labelsView } from './labels-view.ts';
import { nullView, pictureOf } from './null-view.ts';
import { keepingSame, remembering } from './remembering.ts';
import type { ResolvedNull } from './resolved-null.ts';
import type { FoundLength, PresentState, RunState } from './run-state.ts';
import type { EndsTriedView, EventView, Finding, NullView, RunView } from './view.ts';
import type { SetLength } from './worked-out.ts';
import { workingView } from './working.ts';

type SettledView = Omit<RunView, 'now' | 'guidance' | 'stream' | 'keyOpen' | 'wireCurrentS' | 'durationS'>;

/**
 * Makes the views of one run. A null or an event that has not changed is the same object as in the view before, and so are
 * the lists of them.
 */
export function viewBuilder(): (state: RunState, evaluation: Evaluation, present: PresentState) => RunView {
  const settled = remembering(settledViews());
  return (state, evaluation, present) => {
    const view = settled(state, evaluation);
    const { now, driverMa: _, keyOpen, wireCurrentS, samples } = present;
    return {
      ...view,
      now,
      guidance: guidance(evaluation.bench, evaluation.nulls, view.labels, present),
      stream: { samples, ...state.losses },
      findings: bySeverity([...streamFindings(state, samples), ...view.findings]),
      keyOpen,
      wireCurrentS,
      durationS: now?.atS ?? 0,
    };
  };
}

/** All but what changes with every sample; findings without those of the stream. */
function settledViews(): (state: RunState, evaluation: Evaluation) => SettledView {
  const nullViews = keepingSame(nullViewsOf());
  const eventViews = keepingSame(eventsView);
  return (state, evaluation) => {
    const { bench, maps, worked, references } = evaluation;
    const working = workingView(state.log, worked.work, bench);
    const zero = state.benches.at(-1)?.zero.latest ?? null;
    return {
      about: aboutOf(state.log),
      bench,
      board: state.board.view,
      linkUp: state.linkUp,
      labels: labelsView(state),
      zero: bench === null || zero === null ? null : zeroView(zero, bench.galvanometer.zeroCounts),
      endsTried: endsTried(maps),
      nulls: nullViews(evaluation),
      work: worked.work,
      referenceCells: references,
      working,
      resultsHidden: resultsHidden(state.log, working),
      findings: findingsOf(state, evaluation, zero),
      events: eventViews(state),
    };
  };
}

/** Views of nulls. Each keeps its picture, which is most of the work, for as long as it is the same. */
function nullViewsOf(): (evaluation: Evaluation) => NullView[] {
  const made = new WeakMap<FoundLength, Pick<ResolvedNull, 'sense'> & Pick<NullView, 'picture'>>();
  const pictureFor = (nullPoint: ResolvedNull) => {
    const { found, sense } = nullPoint;
    const before = made.get(found);
    if (before?.sense === sense) return before.picture;
    const picture = pictureOf(nullPoint);
    made.set(found, { sense, picture });
    return picture;
  };
  return ({ nulls, whyNot, worked }) => {
    const brought = broughtLengths(worked.lengths);
    return nulls.map((nullPoint, at) =>
      nullView(nullPoint, whyNot[at], pictureFor(nullPoint), brought.get(nullPoint.id) ?? null),
    );
  };
}

/** Of the nulls that are used, by their ids. */
const broughtLengths = (lengths: readonly SetLength[]): Map<string, number> =>
  new Map(
    lengths.flatMap(({ combined: { nulls, broughtCm } }) =>
      nulls.map(({ id }, at): [string, number] => [id, broughtCm[at]]),
    ),
  );

const eventsView = ({ log }: RunState): EventView[] =>
  log.entries.map(({ number, ms, event }) => ({ number, ms, event, undone: log.isUndone(number) }));

const zeroView = ({ counts, uCounts, seen }: Zero, fileCounts: number): RunView['zero'] => ({
  counts,
  uCounts,
  fileCounts,
  from: seen ? 'lifted jockey' : 'bench file',
});

/** Which ends of the wire have been touched with which cell, in whatever set: what the connection check needs to see. */
function endsTried(maps: readonly DeflectionMap[]): EndsTriedView[] {
  const tried = new Map<number, EndsTriedView>();
  for (const map of maps) {
    const { cell } = map;
    const before = tried.get(cell);
    const now = endsTouched(map);
    tried.set(cell, { cell, a: now.a || before?.a === true, b: now.b || before?.b === true });
  }
  return [...tried.values()];
}

function findingsOf(state: RunState, evaluation: Evaluation, zero: Zero | null): Finding[] {
  const { bench, nulls, maps, procedure, references, worked } = evaluation;
  const inForce = state.benches.at(-1)?.reader;
  return [
    ...(bench === null || inForce === undefined
      ? []
      : [
          ...voltmeterFindings(bench, nulls),
          ...connectionFindings(inForce, nulls, maps, state.stillCell),
          ...referenceFindings(bench, procedure, references, maps),
          ...meterFindings(bench, worked.work),
          ...placeFindings(bench, nulls),
        ]),
    ...qualityFindings(evaluation, zero, state.board.view?.senses.contact ?? false, state.driver),
    ...wastedFindings(state, evaluation),
  ];
}

const RANK = { stop: 0, warn: 1, note: 2 } as const;

/** The gravest first. */
const bySeverity = (findings: Finding[]): Finding[] =>
  findings.sort((a, b) => RANK[a.severity] - RANK[b.severity]);
