import { INVENTED_BENCH } from '../../../bridge/simulate/default-scene.ts';
import { viewOf } from '../../independent-recordings/fold-text.ts';
import { begin, compare, SWEEPS } from '../../independent-recordings/writer/student.ts';
import { benchWith, eventLine, runOfEvents } from './event-runs.ts';
import type { ShownOf } from './shown.ts';

/** Findings of places that can't be right. */

/** Three sets of both cells, and what is said after them. */
function threeSets(change: (text: string) => string = (text) => text, ...events: object[]) {
  const run = begin();
  compare(run, { rheostatsOhm: [5.5, 8, 10.5], fine: SWEEPS, ends: false, recordsSets: true });
  const lastMs = Number(/(\d+(?:\.\d+)?) [^\n]*\n$/.exec(run.text)?.[1]);
  return viewOf(change(run.text) + events.map((event) => `${lastMs} ${eventLine(event)}\n`).join(''));
}

const otherEnd = (text: string): string =>
  text.replace(/"zeroEnd":"(left|right)"/g, (_, end) => `"zeroEnd":"${end === 'left' ? 'right' : 'left'}"`);

const marks = (middleCm: number) =>
  runOfEvents(
    benchWith({
      position: {
        ...INVENTED_BENCH.position,
        points: [
          { counts: 100, scaleCm: 0 },
          { counts: 2050, scaleCm: middleCm },
          { counts: 4000, scaleCm: 100 },
        ],
      },
    }),
  );

export const PLACES: ShownOf<'zero-end-or-row-wrong' | 'calibration-mark-off'> = {
  'zero-end-or-row-wrong': [
    {
      when: 'the bench file has the scale begin at its other end, and not where it does',
      has: () => threeSets(otherEnd),
      hasNot: () => threeSets(),
      severity: 'warn',
      says: /^The nulls of each cell agree with one another only if the metre scale begins at its other end/,
    },
    {
      when: 'a null is put on the row but one, and not on its own',
      has: () => threeSets(undefined, { kind: 'assign', null: 'n1', row: rowOf('n1') - 2 }),
      hasNot: () => threeSets(undefined, { kind: 'assign', null: 'n1', row: rowOf('n1') }),
      severity: 'warn',
      set: 1,
      cell: 1,
      says: /^n1 was found on row \d+, and agrees with the other sets only on row \d+/,
    },
  ],
  'calibration-mark-off': [
    {
      when: 'a mark is mistyped by a centimetre, and not by a millimetre',
      has: () => marks(51),
      hasNot: () => marks(50.1),
      severity: 'warn',
      says: /^The calibration mark at 51 cm lies 1\.0 cm off the line through its neighbours/,
    },
  ],
};

const rowOf = (id: string): number => threeSets().nulls.find((found) => found.id === id)?.row ?? 0;
