import { createAmplifier } from './amplifier.ts';
import type { Physical } from './live-bench.ts';
import { createPositionSensor } from './position-sensor.ts';
import { randomStream } from './random.ts';
import type { Scene, Span } from './scene.ts';

/** What stands at the converters' inputs, in counts not yet rounded. One object, changed in place. */
export interface Analog {
  gal: number;
  pos: number;
  drv: number;
}

export interface FrontEndModel {
  read(physical: Physical): Analog;
}

/** Amplifier, position sensor and driver current sensor of a scene; an emulated board's converters may be fed by it. */
export function createFrontEnd(scene: Pick<Scene, 'seed' | 'bench' | 'frontEnd'>): FrontEndModel {
  const stream = (name: string) => randomStream(scene.seed, name);
  const amplifier = createAmplifier(scene.frontEnd.galvanometer, scene.bench.galvanometer.microampsPerCount, {
    noise: stream('galvanometer noise'),
    wander: stream('galvanometer wander'),
    hum: stream('hum phase'),
    spikes: stream('galvanometer spikes'),
  });
  const sensor = createPositionSensor(scene.bench, scene.frontEnd.position, {
    noise: stream('position noise'),
    scaleError: stream('scale error'),
  });
  const driverNoise = stream('driver noise');
  const { zeroCounts = 0, milliampsPerCount = 1, zeroCorrectionMa = 0 } = scene.bench.ammeter ?? {};
  const analog: Analog = { gal: 0, pos: 0, drv: 0 };
  return {
    read(physical) {
      analog.gal = amplifier.read(physical.tS, physical.galvanometerUa, physical.jumps);
      analog.pos = sensor.read(physical.scaleCm);
      const ma = physical.driverMa - zeroCorrectionMa + scene.frontEnd.driver.noiseMa * driverNoise.normal();
      analog.drv = zeroCounts + ma / milliampsPerCount;
      return analog;
    },
  };
}

/** A converter: whole counts, stopped at the ends of its span. */
export const convert = (span: Span, counts: number): number =>
  Math.max(span.min, Math.min(span.max, Math.round(counts)));
