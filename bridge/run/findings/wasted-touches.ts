import { rollup } from 'd3-array';
import { message } from '../../messages/catalogue.ts';
import type { Evaluation } from '../evaluate.ts';
import type { RunState, WastedTouch } from '../run-state.ts';
import { setOfTouch, switchesOfTouch } from '../switches.ts';
import type { Finding } from '../view.ts';

/** Why the null of a set and cell has not been found though its touches crossed it: the galvanometer, or the rate of the samples. */
export function wastedFindings({ wasted, log, driver }: RunState, { nulls }: Evaluation): Finding[] {
  const places = wasted.flatMap((touch) => {
    const { cell } = switchesOfTouch(touch.labels, log);
    return cell === null ? [] : [{ touch, cell, set: setOfTouch(touch.labels, touch.tS, log, driver) }];
  });
  const first = rollup(
    places.filter(({ set, cell }) => !nulls.some((found) => found.set === set && found.labels.cell === cell)),
    ([one]) => one,
    ({ set, cell, touch }) => [set, cell, touch.why].join(),
  );
  return [...first.values()].map(({ touch, set, cell }) => findingOf(touch, set, cell));
}

function findingOf({ why, rateHz }: WastedTouch, set: number, cell: number): Finding {
  const where = { set, cell };
  return why === 'grows-less'
    ? { code: 'galvanometer-clips', severity: 'warn', ...where, ...message('current-grows-less', where) }
    : {
        code: 'rate-too-low',
        severity: 'warn',
        ...where,
        ...message('rate-too-low', { ...where, hz: rateHz.toFixed(0) }),
      };
}
