import { encodeChannel, encodeHello, encodeSample } from '../../firmware-protocol/encode.ts';
import type { Pty } from './pty.ts';

/** Lines of a small board with a galvanometer channel only. */
export const helloOf = (board: string): string =>
  `${encodeHello({ board, firmware: 'test', rateHz: 100, senses: 1 })}\n${encodeChannel({ index: 0, channel: 'gal', minCount: 0, maxCount: 4095 })}\n`;

export const sampleOf = (seq: number): string =>
  encodeSample({ seq, tUs: seq * 10_000, gal: 2048, pos: null, drv: null, row: 0, flags: 1 });

/** Answers each `?` that comes to the pseudo-terminal, as a board does, until stopped. */
export function answerQuestions(pty: Pty, board: string): () => void {
  let answered = 0;
  const timer = setInterval(() => {
    const asked = pty.received().split('?').length - 1;
    if (asked > answered) pty.send(helloOf(board));
    answered = asked;
  }, 5);
  return () => clearInterval(timer);
}
