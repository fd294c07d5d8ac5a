import assert from 'node:assert/strict';
import { Buffer } from 'node:buffer';
import { LineSplitter } from '../../bridge/serial/line-splitter.ts';
import { runMaker } from '../../bridge/session/make-run.ts';
import { INVENTED_BENCH } from '../../bridge/simulate/default-scene.ts';
import { randomStream } from '../../bridge/simulate/random.ts';
import { encodeChannel, encodeHello, encodeSample, sealPayload } from '../../firmware-protocol/encode.ts';
import { MAX_LINE_BYTES } from '../../firmware-protocol/frames.ts';
import { part } from './figures.ts';
import { damaged } from './mutate.ts';

const INTRODUCTION = [
  encodeHello({ board: 'fuzz', firmware: '1', rateHz: 200, senses: 0x1f }),
  ...(['gal', 'pos', 'drv'] as const).map((channel, index) =>
    encodeChannel({ index, channel, minCount: 0, maxCount: 4095 }),
  ),
];
const SOUND = [...INTRODUCTION, sealPayload('E,5000,mark'), sealPayload('A,R'), sealPayload('X,R,too fast')];
const BATCH = 1000;

const sampleOf = (number: number): string =>
  encodeSample({
    seq: number % 0x10000,
    tUs: (number * 5000) % 2 ** 32,
    gal: 2048 + Math.round(500 * Math.sin(number / 300)),
    pos: (number * 7) % 4096,
    drv: 1000,
    row: 1 + (Math.floor(number / 5000) % 10),
    flags: 0x03,
  });

/** Damaged lines by the batch through splitter and run; after each batch the same ones must still read a sound sample. */
export const fuzzLines = part({
  full: { lines: 1_000_000 },
  short: { lines: 10_000 },
  async run({ lines }, seed) {
    const random = randomStream(seed, 'fuzz-lines');
    const splitter = new LineSplitter(MAX_LINE_BYTES);
    const run = (await runMaker())([]);
    run.addRecord({ ms: 0, mark: '!', payload: JSON.stringify({ kind: 'bench', bench: INVENTED_BENCH }) });
    let ms = 0;
    const feed = (text: string) => {
      for (const payload of splitter.split(Buffer.from(text, 'latin1')))
        run.addRecord({ ms: ++ms, mark: '<', payload });
    };
    for (let number = 0; number < lines; number += BATCH) {
      let text = '';
      for (let one = 0; one < BATCH; one += 1) {
        const sound =
          random.uniform() < 0.7
            ? sampleOf(number + one)
            : SOUND[Math.floor(SOUND.length * random.uniform())];
        text += `${damaged(random, sound)}\n`;
      }
      feed(text);
      const { samples } = run.view().stream;
      feed(`\n${INTRODUCTION.join('\n')}\n${sampleOf(number + BATCH)}\n`);
      assert.equal(run.view().stream.samples, samples + 1, 'a sound sample after damaged lines');
    }
    const { stream } = run.view();
    assert(stream.badLines > lines / 2);
    return { lines, 'counted as damaged': stream.badLines, 'sound samples read in between': lines / BATCH };
  },
});
