import type { Choice, Comparison, Fine } from '../independent-recordings/writer/student.ts';

/** Scenes of the study of readings: what of a bench disturbs a length on its way, and how the nulls are taken. All invented. */

export interface ReadingsScene {
  name: string;
  choice: Choice;
  how: Comparison;
}

const TAPS: Fine = { by: 'taps', reachCm: 2, seconds: 1 };
const SWEEPS: Fine = { by: 'sweeps', reachCm: 4, seconds: 3 };
const SIX = [8, 10.5, 9, 7.5, 10, 8.5];
/** 0.9 % of the current: under the change that begins a set by itself. */
const NEAR = [8, 8.257];

/** A driver that a laboratory may have: it warms, and its rheostat's contact settles. */
const RESTLESS: Partial<Choice> = {
  driftPerS: -3e-6,
  settling: [
    { relative: 1e-3, tauS: 4 },
    { relative: 5e-4, tauS: 60 },
  ],
  wanderPerRootS: 5e-6,
};

export const READINGS_SCENES: readonly ReadingsScene[] = [
  { name: 'steady driver, sweeps both ways', choice: {}, how: { fine: SWEEPS } },
  { name: 'steady driver, taps in quick sets', choice: {}, how: { fine: TAPS } },
  { name: 'steady driver, no noise on the ammeter, taps', choice: { drvNoiseMa: 0 }, how: { fine: TAPS } },
  { name: 'steady driver, six sets, sweeps both ways', choice: {}, how: { fine: SWEEPS, rheostatsOhm: SIX } },
  { name: 'noisy ammeter, taps', choice: { drvNoiseMa: 0.2 }, how: { fine: TAPS } },
  { name: 'restless driver, taps', choice: RESTLESS, how: { fine: TAPS } },
  {
    name: 'restless driver, no noise on the ammeter, taps',
    choice: { ...RESTLESS, drvNoiseMa: 0 },
    how: { fine: TAPS },
  },
  {
    name: 'restless driver, noisy ammeter, taps',
    choice: { ...RESTLESS, drvNoiseMa: 0.2 },
    how: { fine: TAPS },
  },
  { name: 'restless driver, sweeps both ways', choice: RESTLESS, how: { fine: SWEEPS } },
  {
    name: 'restless driver, no noise on the ammeter, sweeps both ways',
    choice: { ...RESTLESS, drvNoiseMa: 0 },
    how: { fine: SWEEPS },
  },
  {
    name: 'sets 0.9 % apart, by events, sweeps',
    choice: {},
    how: { fine: SWEEPS, rheostatsOhm: NEAR, recordsSets: true },
  },
  {
    name: 'sets 0.9 % apart, by events, taps, restless driver',
    choice: RESTLESS,
    how: { fine: TAPS, rheostatsOhm: NEAR, recordsSets: true },
  },
  {
    name: 'noise of the galvanometer one over the frequency, sweeps both ways',
    choice: { flickerUa: 0.2 },
    how: { fine: SWEEPS },
  },
  {
    name: 'noise of the galvanometer one over the frequency, taps',
    choice: { flickerUa: 0.2 },
    how: { fine: TAPS },
  },
  { name: 'no error of the scale, sweeps both ways', choice: { uScaleCm: 0 }, how: { fine: SWEEPS } },
];
