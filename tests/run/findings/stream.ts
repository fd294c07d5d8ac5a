import type { RunView } from '../../../bridge/run/view.ts';
import { viewOf } from '../../independent-recordings/fold-text.ts';
import type { OutsideRun } from '../../independent-recordings/writer/run.ts';
import { begin } from '../../independent-recordings/writer/student.ts';
import { benchWith, boardLine, eventLine, runOfEvents, written } from './event-runs.ts';
import type { ShownOf } from './shown.ts';
import { once } from './shown.ts';

/** Findings of the line from the board, the recording, the bench file and the words. */

function run(act: (run: OutsideRun) => void): RunView {
  const made = begin();
  act(made);
  return viewOf(made.text);
}

/** A second of samples (200), with half a second before it: some of them missing, then more to tell it by. */
const missing = (samples: number) =>
  run((made) => {
    made.silence(samples / 200);
    made.lift(0.5 - samples / 200);
  });

const sound = once(() => run((made) => made.lift(1)));

/** The board says at which rate it samples. */
const atRate = (rateHz: number) =>
  viewOf(written([eventLine(benchWith()), boardLine(`H,1,OUTSIDE-1,outside-1,${rateHz},1F`)]));

const BAD_BENCH = { kind: 'bench', bench: {} };
const WRAPS = { firstSeq: 65_536 - 250, firstTUs: 4294967296 - 1.2e6 };

export const STREAM: ShownOf<
  | 'samples-lost'
  | 'lines-damaged'
  | 'board-restarted'
  | 'recording-torn'
  | 'hum-aliased'
  | 'bench-unknown'
  | 'bench-senseless'
  | 'event-unreadable'
> = {
  'samples-lost': [
    {
      when: 'four of 400 samples are missing, and a note as yet',
      has: () => missing(4),
      hasNot: sound,
      severity: 'note',
      says: /^4 samples never arrived \(1\.00 %\)\.$/,
    },
    {
      when: 'five are, and more than one in a hundred',
      has: () => missing(5),
      hasNot: sound,
      severity: 'warn',
      says: /^5 samples never arrived \(1\.25 %\)\.$/,
    },
  ],
  'lines-damaged': [
    {
      when: 'their check does not hold, and not where they are of a later version',
      has: () =>
        run((made) => {
          made.heard('Q,some,later,line*0000');
          made.heard('S,1,2,3');
        }),
      hasNot: () => run((made) => made.heardPayload('Q,some,later,line')),
      severity: 'note',
      says: /^2 lines could not be read and were left out/,
    },
  ],
  'board-restarted': [
    {
      when: 'it starts anew, and not where its counters wrap',
      has: () =>
        run((made) => {
          made.restart(2);
          made.lift(0.5);
        }),
      hasNot: () => {
        const made = begin({ board: WRAPS });
        made.lift(0.5);
        return viewOf(made.text);
      },
      severity: 'note',
      says: /^The board started anew once during the run\.$/,
    },
  ],
  'recording-torn': [
    {
      when: 'its last line has no line feed',
      has: () => viewOf(begin().text.slice(0, -1)),
      hasNot: () => viewOf(begin().text),
      severity: 'note',
      says: /^The recording ends in the middle of a line, which is left out\.$/,
    },
  ],
  'hum-aliased': [
    {
      when: 'hum of 50 Hz is sampled 51 times a second, and not 52',
      has: () => atRate(51),
      hasNot: () => atRate(52),
      severity: 'warn',
      says: /^At 51 samples a second mains hum looks like a steady or slow current/,
    },
    {
      when: 'hum of 100 Hz is sampled 99 times a second, and not 98',
      has: () => atRate(99),
      hasNot: () => atRate(98),
      severity: 'warn',
      says: /^At 99 samples a second/,
    },
  ],
  'bench-unknown': [
    {
      when: 'samples come before a bench file',
      has: () => {
        const made = begin();
        return viewOf(made.text.replace(/^.*"kind":"bench".*\n/m, ''));
      },
      hasNot: sound,
      severity: 'stop',
      says: /^No bench file has been given/,
    },
    {
      when: 'nothing has come yet',
      has: () => runOfEvents(),
      hasNot: () => runOfEvents(benchWith()),
      severity: 'note',
      says: /^Neither a bench file nor a sample has come yet/,
    },
  ],
  'bench-senseless': [
    {
      when: 'the bench file in force cannot be used',
      has: () => runOfEvents({ kind: 'about' }, benchWith({ wire: { rows: 10 } })),
      hasNot: () => runOfEvents(BAD_BENCH, { kind: 'undo', event: 1 }),
      severity: 'stop',
      says: /^The bench file in event 2 cannot be used: wire\./,
    },
    {
      when: 'it comes after a sound one, and not before',
      has: () => runOfEvents(benchWith(), BAD_BENCH),
      hasNot: () => runOfEvents(BAD_BENCH, benchWith()),
      severity: 'stop',
      says: /^The bench file in event 2 cannot be used/,
    },
  ],
  'event-unreadable': [
    {
      when: 'they are of a kind that nobody knows, and not where they were taken back',
      has: () => runOfEvents(benchWith(), { kind: 'odd' }, { kind: 'cell', cell: 9 }),
      hasNot: () => runOfEvents(benchWith(), { kind: 'odd' }, { kind: 'undo', event: 2 }),
      severity: 'warn',
      says: /^2 events could not be understood and what they said is missing \(no\. 2, 3 of the recording’s ! lines\)/,
    },
  ],
};
