import { setTimeout as sleep } from 'node:timers/promises';
import { decodeLine } from '../../firmware-protocol/decode.ts';
import type { Message } from '../calc-core/message.ts';
import { message } from '../messages/catalogue.ts';
import type { SourceFault } from '../serial/line-source.ts';
import { openPort, type PortLink, type PortListener } from '../serial/port-link.ts';
import { lastIsAnswered, PATIENCE_MS } from './check-answers.ts';
import type { BoardLog } from './log.ts';
import { questions } from './script.ts';

/** Opening a port resets many boards: what comes in this time belongs to the boot loader and the boot. */
const SETTLE_MS = 2_500;
const WRITE_PATIENCE_MS = 20;
const TURN_MS = 250;
/** What belongs to an answer beside its first line: C lines behind H. */
const REST_OF_ANSWER_MS = 750;

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
  const ear = new Ear(options);
  const opening = await openPort(options.path, options.baudRate, ear);
  if (!opening.ok) return opening;
  await ear.waitMs(SETTLE_MS);
  ear.forgetReset();
  await askAll(ear, opening.link);
  const { log, gone } = await ear.finish();
  await opening.link.close(message('port-closed'));
  return { ok: true, log, cutShort: gone };
}

async function askAll(ear: Ear, link: PortLink): Promise<void> {
  for (const question of questions(statedRate(ear.log))) {
    if (ear.lostBecause !== null) return;
    ear.log.asked.push({ atMs: ear.nowMs(), question });
    while (ear.lostBecause === null && !link.write(question.line)) await sleep(WRITE_PATIENCE_MS);
    await ear.waitForAnswer();
  }
}

/** Keeps what one opening of a port hears, with host times from when it began. */
class Ear implements PortListener {
  readonly log: BoardLog = { heard: [], asked: [], endMs: 0 };
  /** Why the port went away, where it did. */
  lostBecause: string | null = null;
  readonly #beganMs = performance.now();
  readonly #options: ListenOptions;
  #done = false;

  constructor(options: ListenOptions) {
    this.#options = options;
  }

  nowMs(): number {
    return performance.now() - this.#beganMs;
  }

  lines(lines: string[]): void {
    const atMs = this.nowMs();
    // Closing the port hands over half a line.
    if (this.#done) return;
    for (const line of lines) this.log.heard.push({ atMs, line, frame: decodeLine(line) });
  }

  heard(): void {}

  gone(why: Message): void {
    this.lostBecause ??= why.text;
  }

  /** Waits, unless the port goes away. */
  async waitMs(ms: number): Promise<void> {
    const untilMs = this.nowMs() + ms;
    while (this.nowMs() < untilMs && this.lostBecause === null) {
      this.#options.progress(Math.max(0, Math.ceil(this.#options.seconds - this.nowMs() / 1000)));
      await sleep(Math.min(TURN_MS, Math.max(1, untilMs - this.nowMs())));
    }
  }

  /** Waits for the answer to the last question, and for what belongs to it. */
  async waitForAnswer(): Promise<void> {
    const untilMs = this.nowMs() + PATIENCE_MS;
    await this.waitMs(REST_OF_ANSWER_MS);
    while (!lastIsAnswered(this.log) && this.nowMs() < untilMs && this.lostBecause === null)
      await this.waitMs(TURN_MS);
  }

  /** Begins anew with the last boot: what an opening in mid-stream and a reset left is no fault of the board's. */
  forgetReset(): void {
    const { heard } = this.log;
    const boot = heard.findLastIndex(({ frame }) => frame.type === 'H');
    if (boot > 0) heard.splice(0, boot);
  }

  /** Listens to the end of its time. */
  async finish(): Promise<{ log: BoardLog; gone: string | null }> {
    await this.waitMs(1000 * this.#options.seconds - this.nowMs());
    this.#done = true;
    this.log.endMs = this.nowMs();
    // A cable that is pulled leaves half a line, too.
    if (this.lostBecause !== null && this.log.heard.at(-1)?.frame.type === 'bad') this.log.heard.pop();
    return { log: this.log, gone: this.lostBecause };
  }
}

function statedRate({ heard }: BoardLog): number | null {
  const hello = heard.map(({ frame }) => frame).findLast((frame) => frame.type === 'H');
  return hello === undefined ? null : hello.rateHz;
}
