import { inForce } from '../bench/reading.ts';
import type { RunFold } from './fold.ts';
import { WordsAt } from './spoken-words.ts';
import { loadNamed, sensedIn } from './touch-labels.ts';
import type { LabelSource, LabelsView } from './view.ts';

/** What holds at the bench now, by the rule that labels touches, and where it is known from. */
export function labelsView(fold: RunFold): LabelsView {
  const { log, board, lastSample } = fold;
  const rows = fold.bench?.bench.wire.rows ?? null;
  const { cell, row, protect, load } = inForce(sensedIn(lastSample), new WordsAt(log, log.count), rows);
  const named = loadNamed(log, log.count);
  const from = (sense: Parameters<typeof board.senses>[0], isSaid: boolean): LabelSource =>
    board.senses(sense) && lastSample !== null ? 'board' : isSaid ? 'operator' : 'unknown';
  return {
    cell: { value: cell, from: from('cellKey', cell !== null) },
    row: { value: row, from: from('row', row !== null) },
    protect: { value: protect, from: from('protect', log.last('protect') !== null) },
    load: {
      value: load,
      from: from('load', log.last('load') !== null),
      ohm: named?.ohm ?? null,
      uOhm: named?.uOhm ?? null,
    },
    set: presentSet(fold),
  };
}

function presentSet(fold: RunFold): LabelsView['set'] {
  const said = fold.log.last('set');
  if (said !== null) return { value: said.set, from: 'operator' };
  if (fold.driver === null) return { value: 1, from: 'unknown' };
  return { value: fold.driver.setAt(Number.POSITIVE_INFINITY), from: 'board' };
}
