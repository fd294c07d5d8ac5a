import { aboutOf, runTemperatureC } from './about.ts';
import { endsTried } from './ends-tried.ts';
import { connectionFindings } from './findings/connection.ts';
import { deflectionMaps } from './findings/deflection-map.ts';
import { meterFindings } from './findings/meters.ts';
import { qualityFindings } from './findings/quality.ts';
import { referenceFindings } from './findings/reference-cell.ts';
import { voltmeterFindings } from './findings/voltmeter.ts';
import type { RunFold } from './fold.ts';
import { labelsView } from './labels-view.ts';
import { measuredCell } from './measured-cell.ts';
import { nullView } from './null-view.ts';
import { whyNotUsed } from './observations.ts';
import { DEFAULT_PROCEDURE } from './procedure.ts';
import { referenceCells } from './reference-cells.ts';
import type { ResolvedNull } from './resolve-nulls.ts';
import { resolveNulls } from './resolve-nulls.ts';
import { workOut } from './result.ts';
import type { BoardView, EventView, Finding, RunView } from './view.ts';

/** The view of a run from its fold, but for what changes with every line: the fold itself adds that. */

export interface BuiltView {
  view: Omit<RunView, 'now' | 'guidance' | 'stream' | 'findings' | 'keyOpen' | 'wireCurrentS' | 'durationS'>;
  nulls: ResolvedNull[];
  /** All but those of the stream, which grows with every line. */
  findings: Finding[];
}

const RANK = { stop: 0, warn: 1, note: 2 } as const;

export function buildView(fold: RunFold): BuiltView {
  const { procedure, nulls, why, used } = usedNulls(fold);
  const bench = fold.bench?.bench ?? null;
  const worked = workOut(fold, procedure, bench, used);
  const maps = bench === null ? [] : deflectionMaps(fold);
  const references = bench === null ? [] : referenceCells(bench, runTemperatureC(fold));
  const findings = [
    ...(bench === null
      ? []
      : [
          ...voltmeterFindings(bench, nulls),
          ...connectionFindings(fold, nulls, maps),
          ...referenceFindings(bench, procedure, references, maps),
          ...meterFindings(bench, worked.work),
        ]),
    ...qualityFindings(fold, nulls, worked),
  ];
  const view = {
    about: aboutOf(fold),
    bench,
    board: boardView(fold),
    linkUp: fold.linkUp,
    labels: labelsView(fold),
    zero: zeroView(fold),
    endsTried: endsTried(maps),
    nulls: nulls.map((nullPoint) => nullView(nullPoint, why.get(nullPoint.id) ?? null)),
    work: worked.work,
    referenceCells: references,
    events: eventsView(fold),
  };
  return { view, nulls, findings };
}

/** The gravest first. */
export const bySeverity = (findings: Finding[]): Finding[] =>
  findings.sort((a, b) => RANK[a.severity] - RANK[b.severity]);

/** Every null with why it does not count, and those that do. */
export function usedNulls(fold: RunFold) {
  const procedure = fold.log.last('procedure')?.procedure ?? DEFAULT_PROCEDURE;
  const nulls = resolveNulls(fold);
  const measured = procedure === 'internal-resistance' ? measuredCell(nulls) : null;
  const why = new Map(nulls.map((nullPoint) => [nullPoint.id, whyNotUsed(nullPoint, procedure, measured)]));
  return { procedure, nulls, why, used: nulls.filter((nullPoint) => why.get(nullPoint.id) === null) };
}

function boardView(fold: RunFold): BoardView | null {
  const { board } = fold;
  if (board.hello === null) return null;
  const { board: name, firmware, rateHz } = board.hello;
  const senses = {
    contact: board.senses('contact'),
    cellKey: board.senses('cellKey'),
    protect: board.senses('protect'),
    row: board.senses('row'),
    load: board.senses('load'),
  };
  return { name, firmware, rateHz, senses, channels: board.channels };
}

function zeroView(fold: RunFold): RunView['zero'] {
  const bench = fold.bench?.bench;
  const level = fold.detectors.current?.detector.zero.latest;
  if (bench === undefined || level === undefined) return null;
  return {
    counts: level.counts,
    uCounts: level.uCounts,
    fileCounts: bench.galvanometer.zeroCounts,
    from: level.seen ? 'lifted jockey' : 'bench file',
  };
}

const eventsView = (fold: RunFold): EventView[] =>
  fold.log.entries.map(({ number, ms, event }) => ({ number, ms, event, undone: fold.log.isUndone(number) }));
