import type { Chance } from './chance.ts';

/**
 * What real benches have, each as a multiple of an ordinary size; 0 is none of it. What an ordinary size is, is our judgement
 * (common practice, no source), written down here once more and not taken from the program.
 */
export const EFFECTS = [
  'walk',
  'rows',
  'taper',
  'kinks',
  'joint',
  'zero',
  'strips',
  'pins',
  'scale',
  'edge',
  'driver',
  'drift',
  'recovery',
  'temperature',
  'thermal',
] as const;

export type EffectName = (typeof EFFECTS)[number];
export type Sizes = Readonly<Record<EffectName, number>>;

/** What an ordinary size of each is. */
export const ORDINARY = {
  /** Standard deviation of the mean resistance of 10 cm of wire, relative. */
  walkPer10Cm: 0.003,
  /** Standard deviation from row to row, relative. */
  rows: 0.002,
  /** Standard deviation of a taper and of a bow along the whole wire, relative, at their largest. */
  taper: 0.001,
  /** A flattened or kinked spot, as length of wire. */
  kinkCm: 0.02,
  jointOhm: 0.005,
  zeroCm: 0.1,
  stripOhm: 0.002,
  /** A row's end pin that does not stand at the end of the scale: half width. */
  pinCm: 0.03,
  /** Bow of the scale or sensor at its middle. */
  scaleBowCm: 0.03,
  scaleLocalCm: 0.015,
  /** Knife edge beside its mark, the same everywhere on the scale. */
  edgeCm: 0.02,
  /** Fall of the driver's EMF in a minute, relative, and its step that settles after each change. */
  driverPerMin: 0.0005,
  driverSettling: 0.001,
  cellPerMin: 0.00005,
  /** What a cell lacks at first after it gave current; recovers. */
  recovery: 0.0002,
  /** A cell's swing with the room's temperature. */
  temperature: 0.0001,
  thermalV: 5e-6,
} as const;

/** The same size of everything. */
export const all = (size: number): Sizes =>
  Object.fromEntries(EFFECTS.map((name) => [name, size])) as Record<EffectName, number>;

export const only = (name: EffectName, size: number, others = 0): Sizes => ({ ...all(others), [name]: size });

/** A bench as it comes: some effects absent, most of them ordinary, a few gross. */
export const mixed = (chance: Chance): Sizes =>
  Object.fromEntries(
    EFFECTS.map((name) => [name, chance.yes(0.15) ? 0 : 0.8 * Math.exp(0.7 * chance.normal())]),
  ) as Record<EffectName, number>;
