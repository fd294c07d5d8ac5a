import assert from 'node:assert/strict';
import { readdirSync, rmSync, statSync } from 'node:fs';
import { join } from 'node:path';
import { setImmediate as nextTurn } from 'node:timers/promises';
import { runMaker } from '../../bridge/session/make-run.ts';
import { openSession } from '../../bridge/session/open-session.ts';
import type { RunSession } from '../../bridge/session/run-session.ts';
import { DEFAULT_SCENE, INVENTED_BENCH } from '../../bridge/simulate/default-scene.ts';
import { simulateRun } from '../../bridge/simulate/simulate-run.ts';
import { decodeLine } from '../../firmware-protocol/decode.ts';
import { encodeSample } from '../../firmware-protocol/encode.ts';
import type { SampleFrame } from '../../firmware-protocol/frames.ts';
import { collectGarbage } from '../collect-garbage.ts';
import { temporaryFolder } from '../serial/pty.ts';
import { HandSource } from '../session/stand.ts';
import { part } from './figures.ts';

const RATE_HZ = DEFAULT_SCENE.board.rateHz;
const BATCH = 40;
/** Up to here the simulated student has found nulls of both cells in one set. */
const LOOP_S = 60;
const MEASURES = 8;

/** What the board says of itself, and the samples of the run's first minute. */
function beginning(): { introduction: string[]; samples: SampleFrame[] } {
  const introduction: string[] = [];
  const samples: SampleFrame[] = [];
  for (const { mark, payload } of simulateRun(DEFAULT_SCENE)) {
    if (mark !== '<') continue;
    const frame = decodeLine(payload);
    if (frame.type === 'S') samples.push(frame);
    else if (samples.length === 0) introduction.push(payload);
    if (samples.length >= LOOP_S * RATE_HZ) break;
  }
  return { introduction, samples };
}

function held() {
  collectGarbage();
  return {
    heapMb: process.memoryUsage().heapUsed / 2 ** 20,
    timers: process.getActiveResourcesInfo().filter((kind) => kind === 'Timeout').length,
    handles: readdirSync('/proc/self/fd').length,
  };
}

/** Feeds one batch of the loop on; seq and clock never begin anew. */
async function feed(source: HandSource, samples: SampleFrame[], from: number): Promise<void> {
  const lines = Array.from({ length: BATCH }, (_, index) => {
    const number = from + index;
    const tUs = Math.round((number * 1e6) / RATE_HZ) % 2 ** 32;
    return encodeSample({ ...samples[number % samples.length], seq: number % 0x10000, tUs });
  });
  source.listener?.lines(lines);
  await nextTurn();
}

async function opened(path: string, source: HandSource): Promise<RunSession> {
  const result = await openSession({
    id: null,
    title: 'long',
    kind: 'live',
    source,
    path,
    begin: 'create',
    opening: [{ kind: 'bench', bench: INVENTED_BENCH }],
    makeRun: await runMaker(),
  });
  assert(result.ok);
  return result.session;
}

/** Hours of board time through file and run as fast as the machine allows: what is held then. */
export const longRun = part({
  full: { hours: 8, mostMbAnHour: 20 },
  short: { hours: 0.05, mostMbAnHour: 1000 },
  async run({ hours, mostMbAnHour }) {
    const folder = temporaryFolder();
    const path = join(folder, 'long.rec');
    const source = new HandSource();
    const session = await opened(path, source);
    const { introduction, samples } = beginning();
    source.listener?.lines(introduction);
    const total = Math.floor(hours * 3600 * RATE_HZ);
    const every = Math.floor(total / MEASURES / BATCH) * BATCH;
    const measured: ReturnType<typeof held>[] = [];
    const begunMs = performance.now();
    for (let number = 0; number < total; number += BATCH) {
      await feed(source, samples, number);
      if (number > 0 && number % every === 0) measured.push(held());
    }
    const seconds = (performance.now() - begunMs) / 1000;
    const { stream, nulls } = session.view();
    await session.close();
    const bytes = statSync(path).size;
    rmSync(folder, { recursive: true });
    assert.equal(stream.lostSamples, 0);
    assert(stream.samples >= total);
    const [first, last] = [measured[0], measured[measured.length - 1]];
    const mbAnHour = (last.heapMb - first.heapMb) / hours;
    assert(mbAnHour < mostMbAnHour, `${mbAnHour.toFixed(1)} MB an hour are kept`);
    assert.equal(last.handles, first.handles);
    assert(last.timers <= first.timers + 2);
    return {
      'board time, h': hours,
      samples: stream.samples,
      nulls: nulls.length,
      'recording, MB': Math.round(bytes / 2 ** 20),
      'times real time': Math.round((hours * 3600) / seconds),
      'heap, MB': measured.map(({ heapMb }) => heapMb.toFixed(0)).join(', '),
      timers: `${first.timers} -> ${last.timers}`,
      'file handles': `${first.handles} -> ${last.handles}`,
    };
  },
});
