import { describe, expect, it } from 'vitest';
import { type BoardRow, inOrderOfNeed, needsOf } from '../../bridge/room/class-board.ts';
import { readSummary, type Summary } from '../../bridge/room/messages.ts';

const SOUND: Summary = {
  ...{ v: 1, bench: 'Bench 4', procedure: 'emf-comparison', step: 'sweep', set: 1, cell: 1 },
  ...{ endsTried: 4, nulls: 3, setsDone: 0, lastNull: null, result: null, finding: null, linkUp: true },
  ...{ atS: 100, quietS: 20, ended: false, calls: false, bytes: 1000 },
};
const RESULT = { quantity: 'E1/E2', value: 1.15, U: 0.001, unit: '' };

describe('what a bench of a class calls for', () => {
  it.each([
    ['nothing while it goes on', SOUND, true, null],
    ['the teacher where it calls', { ...SOUND, calls: true, linkUp: false }, true, 'calls'],
    ['help at a stop', { ...SOUND, finding: { code: 'cell-reversed', severity: 'stop' } }, true, 'stop'],
    ['a look where its board is silent', { ...SOUND, linkUp: false }, true, 'vanished'],
    ['a look where its computer is gone', SOUND, false, 'vanished'],
    ['a look after minutes without progress', { ...SOUND, quietS: 300 }, true, 'quiet'],
    [
      'nothing once it has finished, however long ago',
      { ...SOUND, step: 'finish', quietS: 3000 },
      true,
      null,
    ],
    ['nothing once it has ended with a result', { ...SOUND, ended: true, result: RESULT }, false, null],
    [
      'help where it ended without one, at a stop',
      { ...SOUND, ended: true, finding: { code: 'cell-reversed', severity: 'stop' } },
      false,
      'stop',
    ],
  ] as [string, Summary, boolean, string | null][])('%s', (_title, summary, stationUp, needs) => {
    expect(readSummary(Buffer.from(JSON.stringify(summary)))).toEqual(summary);
    expect(needsOf(summary, stationUp)).toBe(needs);
  });

  it('comes in the order of need, then of the benches as people count them', () => {
    const row = (bench: string, needs: BoardRow['needs']) => ({ bench, needs, station: bench }) as BoardRow;
    const rows = [
      row('Bench 10', null),
      row('Bench 2', null),
      row('Bench 3', 'quiet'),
      row('Bench 9', 'calls'),
    ];
    expect(inOrderOfNeed(rows).map(({ bench }) => bench)).toEqual([
      'Bench 9',
      'Bench 3',
      'Bench 2',
      'Bench 10',
    ]);
  });
});
