import { setTimeout as sleep } from 'node:timers/promises';
import { decodeLine } from '../../firmware-protocol/decode.ts';
import type { BoardEventFrame, HelloFrame, SampleFrame } from '../../firmware-protocol/frames.ts';
import type { Message } from '../calc-core/message.ts';
import type { PortListener } from '../serial/port-link.ts';
import type { Spans } from './readings.ts';

const TURN_MS = 20;

/** Listens to a board at a port and hands out what it says from a moment on. */
export class BoardEar implements PortListener {
  hello: HelloFrame | null = null;
  /** Why the port went away, where it did. */
  lostBecause: string | null = null;
  readonly spans: Spans = {};
  #heard: (SampleFrame | BoardEventFrame)[] = [];

  lines(lines: string[]): void {
    for (const line of lines) {
      const frame = decodeLine(line);
      if (frame.type === 'H') this.hello = frame;
      if (frame.type === 'C') this.#keepSpan(frame);
      if (frame.type === 'S' || frame.type === 'E') this.#heard.push(frame);
    }
  }

  #keepSpan({ channel, minCount, maxCount }: { channel: string; minCount: number; maxCount: number }): void {
    if (channel === 'gal' || channel === 'pos' || channel === 'drv')
      this.spans[channel] = { minCount, maxCount };
  }

  heard(): void {}

  gone(why: Message): void {
    this.lostBecause ??= why.text;
  }

  /** What comes from now on until `ms` have passed, or `done` says so, or the port goes away. */
  async listen(
    ms: number,
    done: (heard: readonly (SampleFrame | BoardEventFrame)[]) => boolean = () => false,
  ) {
    this.#heard = [];
    const untilMs = performance.now() + ms;
    while (performance.now() < untilMs && this.lostBecause === null && !done(this.#heard))
      await sleep(TURN_MS);
    return this.#heard;
  }

  /** Samples only. */
  async samples(
    ms: number,
    done: (samples: readonly SampleFrame[]) => boolean = () => false,
  ): Promise<SampleFrame[]> {
    const heard = await this.listen(ms, (all) => done(all.filter((frame) => frame.type === 'S')));
    return heard.filter((frame) => frame.type === 'S');
  }
}
