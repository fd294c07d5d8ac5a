/** A jockey's position sensor that is late, or that a worn drive pulls along: where it believes the jockey to be. */

export interface SensorChoice {
  /** What the sensor shows is so old. */
  sensorLatencyMs?: number;
  /** Play of the drive: the sensor follows only once the jockey has moved this far the other way. */
  backlashCm?: number;
  /** The knife edge lies so far on from where the sensor is. */
  knifeEdgeCm?: number;
}

export class JockeySensor {
  private readonly choice: SensorChoice;
  private past: { tS: number; cm: number }[] = [];
  private pulledCm: number | null = null;

  constructor(choice: SensorChoice) {
    this.choice = choice;
  }

  /** Place in cm of the scale that the sensor shows of a jockey at `cm`. */
  shows(tS: number, cm: number): number {
    return this.late(tS, this.pulled(cm)) - (this.choice.knifeEdgeCm ?? 0);
  }

  private pulled(cm: number): number {
    const half = (this.choice.backlashCm ?? 0) / 2;
    const before = this.pulledCm ?? cm;
    this.pulledCm = Math.min(cm + half, Math.max(cm - half, before));
    return this.pulledCm;
  }

  private late(tS: number, cm: number): number {
    const latencyS = (this.choice.sensorLatencyMs ?? 0) / 1000;
    if (latencyS === 0) return cm;
    this.past.push({ tS, cm });
    while (this.past.length > 2 && this.past[1].tS <= tS - latencyS) this.past.shift();
    const [from, to] = this.past;
    if (to === undefined) return from.cm;
    const share = Math.min(1, Math.max(0, (tS - latencyS - from.tS) / (to.tS - from.tS)));
    return from.cm + share * (to.cm - from.cm);
  }
}
