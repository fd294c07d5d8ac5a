import type { BoardEventFrame, SampleFrame } from '../../firmware-protocol/frames.ts';
import { FLAGS, SENSES } from '../../firmware-protocol/frames.ts';
import { rowDiodes } from '../emulate/parts.ts';

/** The switches and keys that a board senses, one after the other. */

export interface SwitchStep {
  id: string;
  /** What to do. */
  ask: string;
  /** Bit of `SENSES`; null where every board has it. */
  sense: number | null;
  isClosed(heard: SampleFrame | BoardEventFrame): boolean;
  parts: readonly string[];
}

const inSample =
  (is: (sample: SampleFrame) => boolean) =>
  (heard: SampleFrame | BoardEventFrame): boolean =>
    heard.type === 'S' && is(heard);

const cellOf = ({ flags }: SampleFrame): number => (flags >> FLAGS.cellShift) & FLAGS.cellMask;

const flagSet = (flag: number) => inSample(({ flags }) => (flags & flag) !== 0);

const KEYS: readonly SwitchStep[] = [
  {
    id: 'contact',
    ask: 'press the jockey on the wire, then lift it',
    sense: SENSES.contact,
    isClosed: flagSet(FLAGS.contact),
    parts: ['S1', 'J3'],
  },
  {
    id: 'mark',
    ask: 'press the mark button',
    sense: null,
    isClosed: (heard) => heard.type === 'E' && heard.name === 'mark',
    parts: ['S2', 'J3'],
  },
  {
    id: 'cell-1',
    ask: 'close the two-way key to cell 1, then open it',
    sense: SENSES.cellKey,
    isClosed: inSample((sample) => cellOf(sample) === 1),
    parts: ['S3', 'J3'],
  },
  {
    id: 'cell-2',
    ask: 'close the two-way key to cell 2, then open it',
    sense: SENSES.cellKey,
    isClosed: inSample((sample) => cellOf(sample) === 2),
    parts: ['S4', 'J3'],
  },
  {
    id: 'protect',
    ask: 'short the protective resistance with its key, then open the key',
    sense: SENSES.protect,
    isClosed: inSample(({ flags }) => (flags & FLAGS.protect) === 0),
    parts: ['S5', 'J3'],
  },
  {
    id: 'load',
    ask: 'close the load key, then open it',
    sense: SENSES.load,
    isClosed: flagSet(FLAGS.load),
    parts: ['S6', 'J3'],
  },
];

const FIRST_ROW_SWITCH = 7;
const FIRST_ROW_DIODE = 3;

/** Diodes of one row's switch, as the list numbers them: row after row, one for each bit that is 1. */
export const diodesOfRow = (row: number): string[] =>
  Array.from(
    { length: rowDiodes(row) - rowDiodes(row - 1) },
    (_, index) => `D${FIRST_ROW_DIODE + rowDiodes(row - 1) + index}`,
  );

const rowStep = (row: number): SwitchStep => ({
  id: `row-${row}`,
  ask: `hold the jockey over row ${row}, then take it off the rows`,
  sense: SENSES.row,
  isClosed: inSample((sample) => sample.row === row),
  parts: [`S${FIRST_ROW_SWITCH + row - 1}`, ...diodesOfRow(row), 'J3'],
});

/** What a board with these senses can be asked for. */
export const switchSteps = (senses: number, rows: number): SwitchStep[] =>
  [...KEYS, ...Array.from({ length: rows }, (_, index) => rowStep(index + 1))].filter(
    ({ sense }) => sense === null || (senses & sense) !== 0,
  );
