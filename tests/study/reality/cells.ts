import type { Chance } from './chance.ts';
import { ORDINARY, type Sizes } from './sizes.ts';

/** A cell's EMF in time, in volts and seconds from the first null; and the driver's current beside its nominal one. */

export type InTime = (tS: number) => number;

export interface Jump {
  /** Relative change, and when. */
  relative: number;
  atS: number;
}

/** @param jump in mid-run, null for none */
export function drawCell(emfV: number, sizes: Sizes, chance: Chance, jump: Jump | null): InTime {
  const perS = (sizes.drift * ORDINARY.cellPerMin * chance.normal()) / 60;
  const lacks = sizes.recovery * ORDINARY.recovery * Math.abs(chance.normal());
  const tauS = chance.logBetween(60, 1800);
  const swing = sizes.temperature * ORDINARY.temperature * chance.normal();
  const [periodS, phase] = [chance.between(1800, 7200), chance.between(0, 2 * Math.PI)];
  return (tS) => {
    const room = swing * Math.sin((2 * Math.PI * tS) / periodS + phase);
    const jumped = jump !== null && tS > jump.atS ? jump.relative : 0;
    return emfV * (1 + perS * tS - lacks * Math.exp(-tS / tauS) + room + jumped);
  };
}

/** Thermal EMF of a cell's branch: nearly constant, with a slow wander. */
export function drawThermal(sizes: Sizes, chance: Chance): InTime {
  const size = sizes.thermal * ORDINARY.thermalV;
  const [constant, wander] = [size * chance.normal(), 0.3 * size * chance.normal()];
  const phase = chance.between(0, 2 * Math.PI);
  return (tS) => constant + wander * Math.sin(tS / 300 + phase);
}

/** The driver's current, relative to what it would be: falls, and settles after each change of the rheostat. */
export function drawDriver(sizes: Sizes, chance: Chance): (tS: number, sinceChangeS: number) => number {
  const perS = (sizes.driver * ORDINARY.driverPerMin * Math.exp(0.5 * chance.normal())) / 60;
  const step = sizes.driver * ORDINARY.driverSettling * chance.normal();
  const tauS = chance.logBetween(5, 60);
  return (tS, sinceChangeS) => Math.exp(-perS * tS) * (1 + step * Math.exp(-sinceChangeS / tauS));
}

/** Mean over a time by the midpoint rule. */
export function meanOver(inTime: InTime, fromS: number, toS: number): number {
  const steps = 200;
  let sum = 0;
  for (let step = 0; step < steps; step += 1) sum += inTime(fromS + ((toS - fromS) * (step + 0.5)) / steps);
  return sum / steps;
}

/** Largest less smallest between two times, relative. */
export function largestChange(emf: InTime, fromS: number, toS: number): number {
  const values = Array.from({ length: 41 }, (_, step) => emf(fromS + ((toS - fromS) * step) / 40));
  return (Math.max(...values) - Math.min(...values)) / values[0];
}
