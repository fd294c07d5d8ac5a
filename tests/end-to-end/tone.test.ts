import type { Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { RunSession } from '../../bridge/session/run-session.ts';
import { MOST_UA } from '../../web/show/deflection-band.tsx';
import { soundOf } from '../../web/show/tone.ts';
import { addByHand, openAt, openStage, type Stage } from './stage.ts';

/** The demonstrator's tone as it leaves the loudspeaker: the page's own sound is tapped where it goes out. */

let stage: Stage;
let session: RunSession;
let page: Page;
let opened: Awaited<ReturnType<typeof openAt>>;

beforeAll(async () => {
  stage = await openStage();
  session = await addByHand(stage, 3);
  session.hand()?.order({ switches: { keyClosed: true } });
  opened = await openAt(stage, 'show#run=by-hand');
  page = opened.page;
  await page.addInitScript(tapLoudspeaker);
  await page.reload();
  await page.waitForSelector('.band');
});
afterAll(async () => {
  await opened?.close();
  await stage?.close();
});

declare global {
  var tapped: AnalyserNode | undefined;
}

/** Whatever is connected to the loudspeaker is connected to an analyser, too. Runs in the page, before its own script. */
function tapLoudspeaker(): void {
  const { connect } = AudioNode.prototype;
  AudioNode.prototype.connect = function (this: AudioNode, ...to: unknown[]) {
    if (to[0] === this.context.destination) {
      const analyser = this.context.createAnalyser();
      analyser.fftSize = 16_384;
      globalThis.tapped = analyser;
      Reflect.apply(connect, this, [analyser]);
    }
    return Reflect.apply(connect, this, to);
  } as typeof connect;
}

interface Heard {
  /** Root mean square. */
  loudness: number;
  /** From the distance of its rising zeros; NaN where there are none. */
  hz: number;
}

/** What came out during the last third of a second. */
const listen = (): Promise<Heard> =>
  page.evaluate(() => {
    const analyser = globalThis.tapped;
    if (analyser === undefined) throw new Error('nothing goes to the loudspeaker');
    const wave = new Float32Array(analyser.fftSize);
    analyser.getFloatTimeDomainData(wave);
    const zeros: number[] = [];
    for (let at = 1; at < wave.length; at += 1) {
      const [before, after] = [wave[at - 1], wave[at]];
      if (before < 0 && after >= 0) zeros.push(at - after / (after - before));
    }
    const turns = zeros.length - 1;
    return {
      loudness: Math.sqrt(wave.reduce((sum, value) => sum + value * value, 0) / wave.length),
      hz: turns < 1 ? Number.NaN : (turns / (zeros[turns] - zeros[0])) * analyser.context.sampleRate,
    };
  });

/** The hand goes to a place and presses there. */
async function tapAt(row: number, scaleCm: number): Promise<void> {
  session.hand()?.order({ pressed: false });
  await expect.poll(() => session.view().now?.contact, PATIENCE).toBe(false);
  session.hand()?.order({ to: { row, scaleCm }, pressed: true });
  const there = () => {
    const { now, labels } = session.view();
    return labels.row.value === row && now?.contact === true && Math.abs((now.scaleCm ?? 0) - scaleCm) < 0.3;
  };
  await expect.poll(there, PATIENCE).toBe(true);
}

const presentUa = (): number => session.view().now?.currentUa ?? Number.NaN;
const SILENCE = 1e-4;

/** Sound follows reading after a while; a busy computer makes that a long one. */
const PATIENCE = { timeout: 20_000, interval: 300 };
const hearsSilence = () => expect.poll(async () => (await listen()).loudness, PATIENCE).toBeLessThan(SILENCE);

describe('the demonstrator’s tone', () => {
  it('is silent until it is turned on, and while the jockey is lifted', async () => {
    expect(await page.evaluate(() => globalThis.tapped === undefined)).toBe(true);
    await page.getByRole('button', { name: 'Tone is off' }).click();
    await page.getByRole('button', { name: 'Tone is on' }).waitFor();
    await hearsSilence();
  });

  it('rises and falls with the deflection, on either side of the null', async () => {
    // Cell 1 balances near row 7 at 17 cm; with the protective resistance in, a row is some 40 µA.
    const pitches: number[] = [];
    for (const [row, scaleCm] of [
      [4, 50],
      [6, 50],
      [7, 5],
      [7, 30],
      [9, 50],
    ]) {
      await tapAt(row, scaleCm);
      const offPitch = async () => (await listen()).hz / soundOf(presentUa(), true, MOST_UA).hz - 1;
      await expect.poll(async () => Math.abs(await offPitch()), PATIENCE).toBeLessThan(0.02);
      // A sine's root mean square is its amplitude over the root of two.
      const meant = soundOf(presentUa(), true, MOST_UA).loudness / Math.SQRT2;
      await expect.poll(async () => (await listen()).loudness / meant, PATIENCE).toBeCloseTo(1, 1);
      pitches.push((await listen()).hz);
    }
    const [far, nearer, close, closeBeyond, beyond] = pitches;
    expect(far).toBeGreaterThan(nearer);
    expect(nearer).toBeGreaterThan(close);
    expect(beyond).toBeGreaterThan(closeBeyond);
    expect(far / 196).toBeLessThan(2 ** 2.5);
    expect(close).toBeGreaterThan(196);
  });

  it('is silent at the null, and when the readings stop coming', async () => {
    await tapAt(7, 17);
    expect(Math.abs(presentUa())).toBeLessThan(1);
    await hearsSilence();
    await tapAt(7, 40);
    await expect.poll(async () => (await listen()).loudness, PATIENCE).toBeGreaterThan(0.005);
    await session.close();
    await hearsSilence();
    await page.getByRole('button', { name: 'Tone is on' }).click();
    expect(opened.troubles).toEqual([]);
  });
});
