import { type AnswerSeen, answersSeen, checkAnswers } from './check-answers.ts';
import { channelsOf, checkIdentity } from './check-identity.ts';
import { checkStream } from './check-stream.ts';
import { checkValues, type SenseSeen, type SpanSeen, sensesSeen, spansSeen } from './check-values.ts';
import type { BoardLog, CheckFinding } from './log.ts';
import { type StreamFigures, streamFigures } from './stream.ts';

/** What `tenwire check-board` found. */
export interface BoardReport {
  format: 'tenwire-board-check/1';
  /** True where nothing breaks the format; warnings and notes may remain. */
  keepsFormat: boolean;
  board: { name: string; firmware: string; rateHz: number } | null;
  channels: { channel: string; minCount: number; maxCount: number }[];
  lines: number;
  badLines: number;
  stream: StreamFigures | null;
  spans: SpanSeen[];
  senses: SenseSeen[];
  answers: AnswerSeen[];
  findings: CheckFinding[];
}

const RANK = { fault: 0, warn: 1, note: 2 };

/** Judges all that was heard of a board. A function of the log alone. */
export function checkBoard(log: BoardLog): BoardReport {
  const stream = streamFigures(log);
  const unheard = log.heard.length === 0;
  const findings = [
    ...checkStream(log, stream),
    ...(unheard ? [] : [...checkIdentity(log), ...checkValues(log), ...checkAnswers(log)]),
  ].sort((a, b) => RANK[a.severity] - RANK[b.severity]);
  const hello = log.heard.map(({ frame }) => frame).findLast((frame) => frame.type === 'H');
  return {
    format: 'tenwire-board-check/1',
    keepsFormat: findings.every(({ severity }) => severity !== 'fault'),
    board: hello === undefined ? null : { name: hello.board, firmware: hello.firmware, rateHz: hello.rateHz },
    channels: [...channelsOf(log)].map(([channel, { minCount, maxCount }]) => ({
      channel,
      minCount,
      maxCount,
    })),
    lines: log.heard.length,
    badLines: log.heard.filter(({ frame }) => frame.type === 'bad').length,
    stream,
    spans: spansSeen(log),
    senses: sensesSeen(log),
    answers: answersSeen(log),
    findings,
  };
}
