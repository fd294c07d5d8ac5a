import type { Asked, BoardLog, CheckFinding, Heard } from './log.ts';
import { fault, warn } from './log.ts';

/** How long an answer should take, and how long one is waited for. */
const PROMPT_MS = 1_000;
export const PATIENCE_MS = 4_000;

/** One question and what came of it. */
export interface AnswerSeen {
  what: string;
  answered: boolean;
  text: string;
  afterMs: number | null;
}

export const answersSeen = (log: BoardLog): AnswerSeen[] =>
  log.asked.map((asked) => {
    const answer = answerTo(asked, since(log, asked));
    return {
      what: asked.question.what,
      answered: answer !== null,
      text: answer === null ? 'no answer' : answer.line.replace(/\*[0-9A-F]{4}\r?$/, ''),
      afterMs: answer === null ? null : answer.atMs - asked.atMs,
    };
  });

/** What came until the next question. */
function since(log: BoardLog, asked: Asked): Heard[] {
  const next = log.asked.find(({ atMs }) => atMs > asked.atMs)?.atMs ?? Number.POSITIVE_INFINITY;
  const until = Math.min(next, asked.atMs + PATIENCE_MS);
  return log.heard.filter(({ atMs }) => atMs >= asked.atMs && atMs <= until);
}

/** Whether the last question has had its answer. */
export function lastIsAnswered(log: BoardLog): boolean {
  const asked = log.asked.at(-1);
  return asked === undefined || answerTo(asked, since(log, asked)) !== null;
}

const ANSWERS: Record<Asked['question']['expects'], string> = {
  hello: 'H',
  'hello-after-noise': 'H',
  accepted: 'A',
  refused: 'X',
};

function answerTo({ question }: Asked, heard: Heard[]): Heard | null {
  return heard.find(({ frame }) => frame.type === ANSWERS[question.expects]) ?? null;
}

const WANTED: Record<Asked['question']['expects'], string> = {
  hello: 'H and all C lines within a second',
  'hello-after-noise': 'H: what comes before a line feed must not spoil the line after it',
  accepted: 'A within a second',
  refused: 'X and a reason within a second',
};

/** Answers that did not come, and an H without its C lines. */
export function checkAnswers(log: BoardLog): CheckFinding[] {
  return [...missingAnswers(log), ...slowAnswers(log), ...incompleteAnswer(log)];
}

const slowAnswers = (log: BoardLog): CheckFinding[] =>
  answersSeen(log).flatMap(({ what, afterMs }) =>
    afterMs === null || afterMs <= PROMPT_MS
      ? []
      : [warn('slow-answer', `${what}: answered after ${(afterMs / 1000).toFixed(1)} s; a second is enough`)],
  );

const missingAnswers = (log: BoardLog): CheckFinding[] =>
  answersSeen(log).flatMap(({ what, answered }, index) =>
    answered
      ? []
      : [
          fault(
            'no-answer',
            `${what}: the board should have answered with ${WANTED[log.asked[index].question.expects]}`,
          ),
        ],
  );

/** The C lines that the first answer to ? lacked. */
function incompleteAnswer(log: BoardLog): CheckFinding[] {
  const channels = new Set(log.heard.flatMap(({ frame }) => (frame.type === 'C' ? [frame.channel] : [])));
  const first = log.asked.find(({ question }) => question.expects === 'hello');
  if (first === undefined || answerTo(first, since(log, first)) === null) return [];
  const answered = since(log, first).flatMap(({ frame }) => (frame.type === 'C' ? [frame.channel] : []));
  const missing = [...channels].filter((name) => !answered.includes(name));
  if (missing.length === 0) return [];
  return [fault('answer-incomplete', `in answer to ? there was no C line for ${missing.join(', ')}`)];
}
