import type { RunState } from './run-state.ts';
import { benchOf } from './run-state.ts';
import { loadNamed, resolveSwitches, SaidSwitches, sensedIn } from './switches.ts';
import type { LabelSource, LabelsView } from './view.ts';

/** How the switches stand now, by the rule that labels touches, and where that is known from. */
export function labelsView(state: RunState): LabelsView {
  const { log, events } = state;
  const rows = benchOf(state)?.wire.rows ?? null;
  const said = new SaidSwitches(log, events);
  const { cell, row, protect, load } = resolveSwitches(sensedIn(state.sensed), said, rows);
  const named = loadNamed(log, events);
  const senses = state.sensed === null ? null : state.board.view?.senses;
  const from = (isSensed: boolean | undefined, isSaid: boolean): LabelSource =>
    isSensed === true ? 'board' : isSaid ? 'operator' : 'unknown';
  return {
    cell: { value: cell, from: from(senses?.cellKey, cell !== null) },
    row: { value: row, from: from(senses?.row, row !== null) },
    protect: { value: protect, from: from(senses?.protect, log.last('protect') !== null) },
    load: {
      value: load,
      from: from(senses?.load, log.last('load') !== null),
      ohm: named?.ohm ?? null,
      uOhm: named?.uOhm ?? null,
    },
    set: presentSet(state),
  };
}

function presentSet({ log, driver }: RunState): LabelsView['set'] {
  const said = log.last('set');
  if (said !== null) return { value: said.set, from: 'operator' };
  if (driver === null) return { value: 1, from: 'unknown' };
  return { value: driver.setAt(Number.POSITIVE_INFINITY), from: 'board' };
}
