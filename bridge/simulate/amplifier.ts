import type { Jump } from './live-bench.ts';
import type { RandomStream } from './random.ts';
import type { FrontEnd } from './scene.ts';

/**
 * The galvanometer amplifier up to its converter: single-pole filter, hum, noise, spikes, zero. Counts come out
 * unrounded and unclipped; what rounds and clips them is the converter's own.
 */
export interface Amplifier {
  /** Output in counts at a time, the current having gone there in a straight line from the call before, jumps aside. */
  read(tS: number, currentUa: number, jumps: readonly Jump[]): number;
}

export interface AmplifierStreams {
  noise: RandomStream;
  wander: RandomStream;
  hum: RandomStream;
  spikes: RandomStream;
}

/** Response of a single pole to a straight line, exact: y' = (x - y)/tau. */
function pole(tauS: number) {
  let fromS = 0;
  let fromUa = 0;
  let outUa = 0;
  return {
    line(toS: number, toUa: number): number {
      const stepS = toS - fromS;
      if (tauS === 0) outUa = toUa;
      else if (stepS > 0) {
        const hangsBackUa = (tauS * (toUa - fromUa)) / stepS;
        outUa = toUa - hangsBackUa + (outUa - fromUa + hangsBackUa) * Math.exp(-stepS / tauS);
      }
      fromS = toS;
      fromUa = toUa;
      return outUa;
    },
    jump(toUa: number): void {
      fromUa = toUa;
    },
  };
}

/** First-order noise of the RMS and time constant given, stepped exactly. */
function wanderer(options: { rmsUa: number; timeConstantS: number }, random: RandomStream) {
  let atS = 0;
  let valueUa = options.rmsUa * random.normal();
  return (tS: number): number => {
    const keeps = Math.exp(-(tS - atS) / options.timeConstantS);
    valueUa = keeps * valueUa + options.rmsUa * Math.sqrt(1 - keeps * keeps) * random.normal();
    atS = tS;
    return valueUa;
  };
}

export function createAmplifier(
  options: FrontEnd['galvanometer'],
  microampsPerCount: number,
  streams: AmplifierStreams,
): Amplifier {
  const filter = pole(options.lagMs / 1000);
  const wander = options.wander.rmsUa > 0 ? wanderer(options.wander, streams.wander) : () => 0;
  const humPhase = 2 * Math.PI * streams.hum.uniform();
  const humPerS = 2 * Math.PI * options.hum.frequencyHz;
  return {
    read(tS, currentUa, jumps) {
      for (const jump of jumps) {
        filter.line(jump.atS, jump.beforeUa);
        filter.jump(jump.afterUa);
      }
      let ua = filter.line(tS, currentUa) + options.noiseUa * streams.noise.normal() + wander(tS);
      if (options.hum.amplitudeUa > 0) ua += options.hum.amplitudeUa * Math.sin(humPerS * tS + humPhase);
      if (options.spikes.share > 0 && streams.spikes.uniform() < options.spikes.share) {
        ua += options.spikes.rmsUa * streams.spikes.normal();
      }
      return options.zeroCounts + (options.driftCountsPerMin * tS) / 60 + ua / microampsPerCount;
    },
  };
}
