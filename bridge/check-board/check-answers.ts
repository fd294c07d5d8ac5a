import type { Asked, BoardLog, CheckFinding, Heard } from './log.ts';
import { fault } from './log.ts';

/** How long a board may take to answer. */
export const ANSWER_MS = 1_000;

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

/** What came within the time for an answer, or until the next question. */
function since(log: BoardLog, asked: Asked): Heard[] {
  const next = log.asked.find(({ atMs }) => atMs > asked.atMs)?.atMs ?? Number.POSITIVE_INFINITY;
  const until = Math.min(next, asked.atMs + ANSWER_MS);
  return log.heard.filter(({ atMs }) => atMs >= asked.atMs && atMs <= until);
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
  const findings = answersSeen(log).flatMap(({ what, answered }, index) =>
    answered
      ? []
      : [
          fault(
            'no-answer',
            `${what}: the board should have answered with ${WANTED[log.asked[index].question.expects]}`,
          ),
        ],
  );
  const channels = new Set(log.heard.flatMap(({ frame }) => (frame.type === 'C' ? [frame.channel] : [])));
  const first = log.asked.find(({ question }) => question.expects === 'hello');
  if (first === undefined || answerTo(first, since(log, first)) === null) return findings;
  const answered = since(log, first).flatMap(({ frame }) => (frame.type === 'C' ? [frame.channel] : []));
  const missing = [...channels].filter((name) => !answered.includes(name));
  if (missing.length > 0)
    findings.push(fault('answer-incomplete', `in answer to ? there was no C line for ${missing.join(', ')}`));
  return findings;
}
