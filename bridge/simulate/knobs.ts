import type { Switches } from './steps.ts';

/** Keys and knobs on their way from one setting to another. */
export interface Knobs {
  /** As they stand now; changed in place. */
  readonly switches: Switches;
  /** Begins a change; it runs from one time to another, whatever else the hand does. */
  turn(target: Partial<Switches>, startS: number, endS: number): void;
  advance(tS: number): void;
}

interface Turning {
  target: Partial<Switches>;
  startS: number;
  endS: number;
  /** Settings when it began; null until then. */
  from: Switches | null;
}

/** Told after every change of a key, with the settings before it. */
export type KeyWatcher = (is: Readonly<Switches>, was: Readonly<Switches>) => void;

export function createKnobs(start: Switches, watch: KeyWatcher): Knobs {
  const switches = { ...start };
  let turnings: Turning[] = [];
  return {
    switches,
    turn(target, startS, endS) {
      turnings.push({ target, startS, endS, from: null });
    },
    advance(tS) {
      if (turnings.length === 0) return;
      for (const turning of turnings) {
        if (tS >= turning.startS) carry(turning, tS, switches, watch);
      }
      turnings = turnings.filter(({ endS }) => tS < endS);
    },
  };
}

/** Brings the settings to where a change has come at a time: knobs all the while, keys from halfway on. */
function carry(turning: Turning, tS: number, switches: Switches, watch: KeyWatcher): void {
  turning.from ??= { ...switches };
  const { target, startS, endS, from } = turning;
  const fraction = endS > startS ? Math.min(1, (tS - startS) / (endS - startS)) : 1;
  const { rheostatOhm, leadOhm, ...keys } = target;
  if (rheostatOhm !== undefined) {
    switches.rheostatOhm = from.rheostatOhm + fraction * (rheostatOhm - from.rheostatOhm);
  }
  if (leadOhm !== undefined) switches.leadOhm = grown(from.leadOhm, leadOhm, fraction);
  if (fraction < 0.5) return;
  const was = { ...switches };
  Object.assign(switches, keys);
  watch(switches, was);
}

/** The resistance of a failing connection runs over decades: it grows by a constant factor in a given time. */
const grown = (fromOhm: number, toOhm: number, fraction: number): number => {
  const from = Math.log1p(fromOhm);
  return Math.expm1(from + fraction * (Math.log1p(toOhm) - from));
};
