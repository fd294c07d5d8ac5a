import { positionScale, positionStepCm } from '../../bridge/bench/calibration.ts';
import type { Scene } from '../../bridge/simulate/scene.ts';
import type { Readings } from '../simulate/readings.ts';
import { LIFTED_S } from './null-scenes.ts';

/**
 * Cramer-Rao bound of a balancing length: all unsaturated samples in contact, place and slope of the null
 * unknown, nuisance (hum, lag, zero, shape of the curve) known, quantising as a variance of q²/12.
 */
export function boundCm(scene: Scene, readings: Readings): number {
  const sigma2 = noiseUa2(scene, readings);
  const { min, max } = scene.board.channels.gal;
  const lagS = scene.frontEnd.galvanometer.lagMs / 1000;
  let [aa, ab, bb] = [0, 0, 0];
  const slope = slopeUaPerCm(readings);
  let laggedUa = 0;
  for (let index = 1; index < readings.tS.length; index += 1) {
    const stepS = readings.tS[index] - readings.tS[index - 1];
    const keeps = lagS === 0 ? 0 : Math.exp(-stepS / lagS);
    laggedUa = keeps * laggedUa + (1 - keeps) * readings.trueUa[index];
    if (readings.tS[index] < LIFTED_S || readings.contact[index] === 0) continue;
    if (readings.gal[index] <= min || readings.gal[index] >= max) continue;
    // The current answers to a shift of the null by the slope, to a change of slope by itself over the slope.
    const arm = laggedUa / slope;
    aa += slope * slope;
    ab += slope * arm;
    bb += arm * arm;
  }
  return Math.sqrt((sigma2 * bb) / (aa * bb - ab * ab));
}

/** Variance of one sample as a current: amplifier, converter, and the place's noise through the slope. */
function noiseUa2(scene: Scene, readings: Readings): number {
  const { galvanometer, position } = scene.frontEnd;
  const countUa = scene.bench.galvanometer.microampsPerCount;
  const scale = scene.bench.position;
  const stepCm = scale === undefined ? 0 : positionStepCm(positionScale(scale), 2000);
  const placeCm2 = position.noiseCm ** 2 + stepCm ** 2 / 12;
  return galvanometer.noiseUa ** 2 + countUa ** 2 / 12 + slopeUaPerCm(readings) ** 2 * placeCm2;
}

/** Slope of the true current at its sign change, by the samples in contact nearest to it on either side. */
function slopeUaPerCm(readings: Readings): number {
  let above = -1;
  let below = -1;
  for (let index = 0; index < readings.tS.length; index += 1) {
    if (readings.tS[index] < LIFTED_S || readings.contact[index] === 0) continue;
    const ua = readings.trueUa[index];
    if (ua > 0 && (above < 0 || ua < readings.trueUa[above])) above = index;
    if (ua < 0 && (below < 0 || ua > readings.trueUa[below])) below = index;
  }
  const rise = readings.trueUa[above] - readings.trueUa[below];
  return rise / (readings.trueScaleCm[above] - readings.trueScaleCm[below]);
}
