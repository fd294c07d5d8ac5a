import type { Refused } from './message.ts';
import { message } from './messages.ts';

/**
 * The saturated Weston (cadmium) cell as a reference: its EMF falls a little as it warms.
 * Its EMF at 20 °C is the certificate's; near 1.0183 international volts of old, near 1.0186 V today.
 */

export interface TemperatureFormula {
  name: string;
  source: string;
  /** E(t) = E(20 °C) + c1·d + c2·d² + c3·d³ in V, d = t - 20 °C. */
  coefficientsV: readonly [number, number, number];
  rangeC: readonly [number, number];
}

export const HAMER_1972: TemperatureFormula = {
  name: 'Hamer 1972',
  source: 'Hamer, Skapars, Field, J. Res. Natl. Bur. Stand. 76A (1972), abstract',
  coefficientsV: [-40.44e-6, -0.921e-6, 0.00866e-6],
  rangeC: [15, 40],
};

export const OLDER_INTERNATIONAL: TemperatureFormula = {
  name: 'older international formula',
  source: 'the formula of older textbooks, with 1.0183 V at 20 °C (coefficients and range from memory)',
  coefficientsV: [-4.06e-5, -9.5e-7, 1e-8],
  rangeC: [0, 40],
};

export interface WestonReading {
  /** EMF at 20 °C with its standard uncertainty, from the cell's certificate, in V. */
  emf20V: number;
  uEmf20V: number;
  temperatureC: number;
  uTemperatureC: number;
}

export interface KnownEmf {
  emfV: number;
  uEmfV: number;
}

export type WestonEmf = ({ ok: true } & KnownEmf) | Refused;

/** EMF at the cell's temperature; refused outside the range that the formula holds for. */
export function westonEmf(reading: WestonReading, formula: TemperatureFormula): WestonEmf {
  const [from, to] = formula.rangeC;
  const { temperatureC, emf20V, uEmf20V, uTemperatureC } = reading;
  if (!(temperatureC >= from && temperatureC <= to)) {
    const range = { formula: formula.name, fromC: from, toC: to, atC: String(temperatureC) };
    return { ok: false, ...message('weston-out-of-range', range) };
  }
  if (!(emf20V > 0 && uEmf20V >= 0 && uTemperatureC >= 0)) {
    return { ok: false, ...message('weston-senseless') };
  }
  const [c1, c2, c3] = formula.coefficientsV;
  const d = temperatureC - 20;
  const perC = c1 + 2 * c2 * d + 3 * c3 * d * d;
  return {
    ok: true,
    emfV: emf20V + d * (c1 + d * (c2 + d * c3)),
    uEmfV: Math.hypot(uEmf20V, perC * uTemperatureC),
  };
}

/** For the page and the report, wherever a reference cell is used. Common practice of standards laboratories. */
export const REFERENCE_CELL_CAUTIONS: readonly string[] = [
  'A reference cell is no source of current: above 100 microamperes, even for a moment, its EMF shifts for hours. Keep 100 kilohm or more in series, start at the predicted null, and do no end check with it.',
  'Never read a reference cell with an ordinary voltmeter.',
  'Keep a Weston cell upright, out of draughts and sun, and at one temperature for hours before use.',
  'Weston cells hold mercury and cadmium compounds: do not open or discard one; a broken one is a matter for those trained for it and for the rules of the place.',
];
