import { setTimeout as sleep } from 'node:timers/promises';
import { decodeLine } from '../../firmware-protocol/decode.ts';
import { openPort, type PortLink } from '../serial/port-link.ts';
import type { SourceFault } from '../session/line-source.ts';
import { ANSWER_MS } from './check-answers.ts';
import type { BoardLog, Question } from './log.ts';
import { questions } from './script.ts';

/** Opening a port resets many boards: what comes in this time belongs to the boot loader and the boot. */
const SETTLE_MS = 2_500;
const WRITE_PATIENCE_MS = 20;

export interface ListenOptions {
  path: string;
  baudRate: number;
  /** How long to listen, the questions included. */
  seconds: number;
  /** Told each second. */
  progress(secondsLeft: number): void;
}

export type Listening =
  | { ok: true; log: BoardLog; cutShort: string | null }
  | { ok: false; fault: SourceFault };

/** Opens the port, listens, asks the questions of script.ts one after the other, listens on. */
export async function listenToBoard(options: ListenOptions): Promise<Listening> {
  const log: BoardLog = { heard: [], asked: [], endMs: 0 };
  const beganMs = performance.now();
  const nowMs = () => performance.now() - beganMs;
  let gone: string | null = null;
  const opening = await openPort(options.path, options.baudRate, {
    lines: (lines) => {
      const atMs = nowMs();
      for (const line of lines) log.heard.push({ atMs, line, frame: decodeLine(line) });
    },
    heard: () => {},
    gone: (why) => {
      gone ??= why;
    },
  });
  if (!opening.ok) return opening;
  const { link } = opening;
  const endMs = nowMs() + options.seconds * 1000;
  const waitUntil = async (atMs: number) => {
    while (nowMs() < atMs && gone === null) {
      options.progress(Math.ceil((endMs - nowMs()) / 1000));
      await sleep(Math.min(250, Math.max(1, atMs - nowMs())));
    }
  };
  await waitUntil(nowMs() + SETTLE_MS);
  // What an opening in mid-stream and a reset left is no fault of the board's.
  log.heard.splice(0, log.heard.length, ...afterReset(log));
  for (const question of questions(statedRate(log))) {
    if (gone !== null) break;
    log.asked.push({ atMs: nowMs(), question });
    await write(link, question, () => gone !== null);
    await waitUntil(nowMs() + ANSWER_MS);
  }
  await waitUntil(endMs);
  log.endMs = nowMs();
  const cutShort = gone;
  await link.close('checked');
  return { ok: true, log, cutShort };
}

/** What was heard from the last boot on. */
function afterReset({ heard }: BoardLog): BoardLog['heard'] {
  const boot = heard.findLastIndex(({ frame }) => frame.type === 'H');
  return boot < 0 ? heard : heard.slice(boot);
}

function statedRate({ heard }: BoardLog): number | null {
  const hello = heard.map(({ frame }) => frame).findLast((frame) => frame.type === 'H');
  return hello === undefined ? null : hello.rateHz;
}

/** Writes once the line before is on its way, or gives up when the port is gone. */
async function write(link: PortLink, { line }: Question, isGone: () => boolean): Promise<void> {
  while (!isGone() && !link.write(line)) await sleep(WRITE_PATIENCE_MS);
}
