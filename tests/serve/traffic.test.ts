import { rmSync } from 'node:fs';
import { describe, expect, it, onTestFinished } from 'vitest';
import type { RunEvent } from '../../bridge/run/events.ts';
import { serve } from '../../bridge/serve/server.ts';
import { runMaker } from '../../bridge/session/make-run.ts';
import { sessionRegistry } from '../../bridge/session/session-registry.ts';
import { INVENTED_BENCH } from '../../bridge/simulate/default-scene.ts';
import { temporaryFolder } from '../serial/pty.ts';
import { until } from '../until.ts';
import { handDrivenSession } from './hand-driven-session.ts';
import { pageClient } from './page-client.ts';

const MOST_BYTES = 4096;

/** A run of lengths read by eye, four a set, as a student types them. Invented. */
async function typedRun(sets: number) {
  const fold = (await runMaker())([]);
  let ms = 0;
  const type = (event: RunEvent) => {
    ms += 1000;
    fold.addRecord({ ms, mark: '!', payload: JSON.stringify(event) });
  };
  const typeLength = (set: number, cell: 1 | 2) => {
    const driverMa = 100 + set / 2;
    const lengthCm = (cell === 1 ? 88_000 : 72_000) / driverMa + 0.02 * Math.sin(7 * set + cell);
    const row = Math.floor(lengthCm / 100) + 1;
    const along = lengthCm - 100 * (row - 1);
    const scaleCm = Number((row % 2 === 1 ? along : 100 - along).toFixed(2));
    type({ kind: 'length', cell, set, row, scaleCm, uCm: 0.05 });
  };
  type({ kind: 'bench', bench: structuredClone(INVENTED_BENCH) } as RunEvent);
  for (let set = 1; set <= sets; set += 1) {
    type({ kind: 'set', set });
    type({ kind: 'ammeter', readingMa: 100 + set / 2 });
    for (const cell of [1, 2, 2, 1] as const) typeLength(set, cell);
  }
  return { fold, typeLength };
}

/** Bytes of the frame that tells a page of one more length. */
async function bytesOfOneLength(sets: number): Promise<number> {
  const { fold, typeLength } = await typedRun(sets);
  const driven = handDrivenSession('run');
  const sessions = sessionRegistry();
  sessions.add({ ...driven.session, view: () => fold.view() });
  const folder = temporaryFolder();
  onTestFinished(() => rmSync(folder, { recursive: true }));
  const outcome = await serve({ sessions, pageFolder: folder, port: 0, listen: null });
  if (!outcome.ok) throw new Error(outcome.text);
  onTestFinished(() => outcome.server.close());
  const page = await pageClient(outcome.server.port, { acks: true });
  const sizes: number[] = [];
  page.socket.on('message', (data) => {
    const text = String(data);
    if (JSON.parse(text).type === 'frame') sizes.push(Buffer.byteLength(text));
  });
  page.send({ type: 'open', session: 'run' });
  await until(() => sizes.length === 1, 'the whole view');
  typeLength(sets, 2);
  driven.change({});
  await until(() => sizes.length === 2, 'the change');
  return sizes[1];
}

describe('one more length', () => {
  it('would cross deflated were it long', async () => {
    const outcome = await serve({ sessions: sessionRegistry(), pageFolder: '.', port: 0, listen: null });
    if (!outcome.ok) throw new Error(outcome.text);
    onTestFinished(() => outcome.server.close());
    const page = await pageClient(outcome.server.port);
    expect(page.socket.extensions).toMatch(/^permessage-deflate/);
  });

  it.each([4, 64])('costs a page of a run with %i sets at most 4 kB', async (sets) => {
    expect(await bytesOfOneLength(sets)).toBeLessThan(MOST_BYTES);
  });
});
