import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { setTimeout as sleep } from 'node:timers/promises';
import { expect, test } from 'vitest';
import { placeOnWire } from '../../bridge/bench/geometry.ts';
import { type BoardAtPort, openBoardAtPort } from '../../bridge/emulate/board-at-port.ts';
import { sceneAtBoard } from '../../bridge/emulate/scene-board.ts';
import { SerialSource } from '../../bridge/serial/serial-source.ts';
import { runMaker } from '../../bridge/session/make-run.ts';
import { openSession } from '../../bridge/session/open-session.ts';
import type { RunSession } from '../../bridge/session/run-session.ts';
import { sceneWith } from '../../bridge/simulate/default-scene.ts';
import { openingEvents } from '../../bridge/simulate/simulate-run.ts';
import type { Step, Switches } from '../../bridge/simulate/steps.ts';
import { trueLengthCm } from '../../bridge/simulate/truth.ts';
import { sweepSteps } from '../simulate/readings.ts';
import { until } from '../until.ts';

/**
 * Bench, voltages, firmware in the emulator, pseudo-terminal, serialport, recording, fold: one run that outlives a
 * power cut in the middle of a line, garbage on the receive line, and the cable pulled.
 */

const SPEED = 3;
const FINE: Partial<Switches> = { cell: 1, protect: false, rheostatOhm: 4.1 };

/** A sweep across the null, and a pause in which things go wrong. */
function sweepAcross(lengthCm: number): Step[] {
  const { row, scaleCm } = placeOnWire(sceneWith({}).bench.wire, lengthCm);
  return [
    ...sweepSteps({
      row,
      fromCm: scaleCm - 3,
      toCm: scaleCm + 3,
      secondsOfPasses: [2.5, 2.5],
      pauseS: 0.4,
      profile: 'smooth',
    }),
    { do: 'wait', seconds: 12 },
  ];
}

/** Sensor and driver without errors of their own, so that all nulls lie at one place. */
function makeScene() {
  const patch = {
    seed: 5,
    apparatus: { driver: { driftPercentPerMin: 0 } },
    frontEnd: { position: { scaleErrorCm: 0 } },
  };
  const lengthCm = trueLengthCm(sceneWith(patch), FINE) ?? Number.NaN;
  const steps: Step[] = [
    { do: 'turn', switches: FINE, seconds: 0.2 },
    ...[1, 2, 3, 4].flatMap(() => sweepAcross(lengthCm)),
  ];
  return {
    scene: sceneWith({ ...patch, task: { kind: 'script', steps, procedure: 'emf-comparison' } }),
    lengthCm,
  };
}

const PATIENCE_MS = 150_000;

/** Cuts the power while a line is under way, for two seconds of the bench's time. */
async function cutPower(at: BoardAtPort): Promise<void> {
  const { board } = at;
  let bytes = 0;
  const { usart } = board.chip;
  const pass = usart.onByteTransmit;
  usart.onByteTransmit = (byte) => {
    pass?.(byte);
    bytes += 1;
    if (byte === 0x0a) bytes = 0;
    if (bytes === 12) board.setPower(false);
  };
  const sinceS = board.benchS;
  await until(() => board.benchS > sinceS + 2, 'two seconds without power', PATIENCE_MS);
  board.setPower(true);
}

async function goThrough(at: BoardAtPort, session: RunSession, finished: () => boolean): Promise<void> {
  const nulls = () => session.view().nulls.length;
  await until(() => nulls() >= 1, 'the first null', PATIENCE_MS);
  await cutPower(at);
  const found = nulls();
  await until(() => nulls() > found, 'a null after the power cut', PATIENCE_MS);
  for (let burst = 0; burst < 200; burst += 1) {
    at.board.send(Uint8Array.from({ length: 60 }, (_, index) => (burst * 31 + index * 7) & 0xff));
    await sleep(2);
  }
  const before = nulls();
  await until(() => nulls() > before, 'a null after the garbage', PATIENCE_MS);
  await at.unplug();
  await sleep(300);
  expect(await at.plug()).toBeNull();
  await until(finished, 'the end of the script', PATIENCE_MS);
}

test('one run outlives a power cut, garbage and a pulled cable', { timeout: 300_000 }, async () => {
  const folder = mkdtempSync(join(tmpdir(), 'tenwire-chain-'));
  const { scene, lengthCm } = makeScene();
  const bench = sceneAtBoard(scene);
  const path = join(folder, 'board');
  const opening = await openBoardAtPort({ bench: bench.bench, frontEnd: bench.frontEnd, path, speed: SPEED });
  if (!opening.ok) throw new Error(opening.text);
  const recording = join(folder, 'run.rec');
  const opened = await openSession({
    id: 'run',
    title: 'emulated',
    kind: 'live',
    source: new SerialSource({ path, baudRate: 115_200, rateHz: null, list: async () => [] }),
    path: recording,
    begin: 'create',
    opening: openingEvents(bench.scene),
    makeRun: await runMaker(),
  });
  if (!opened.ok) throw new Error(opened.text);
  const { session } = opened;
  try {
    await goThrough(opening.at, session, () => bench.last().finished);
    await until(() => session.view().nulls.length >= 4, 'a null after the cable was back', PATIENCE_MS);
    const { stream, nulls } = session.view();
    // the boot that the recording begins in, and the one after the power cut
    expect(stream.boots).toBe(2);
    expect(stream.badLines).toBeGreaterThanOrEqual(1);
    for (const found of nulls) {
      expect(found.fine).toBe(true);
      expect(Math.abs((found.lengthCm ?? 0) - lengthCm)).toBeLessThan(0.1);
    }
    expect(readFileSync(recording, 'latin1')).toContain('"kind":"link","up":false');
  } finally {
    await session.close();
    await opening.at.close();
    rmSync(folder, { recursive: true });
  }
});
