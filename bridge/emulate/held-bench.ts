import type { BenchSource, BenchState } from './wiring.ts';

/** A bench whose time stands still until `begin`: a board may run at it before anybody listens to the board. */
export interface HeldBench {
  bench: BenchSource;
  begin(): void;
}

export function heldBench(given: BenchSource): HeldBench {
  const atStart = given.advance(0);
  let begun = false;
  let heldS = 0;
  return {
    begin: () => {
      begun = true;
    },
    bench: {
      advance(tS) {
        if (begun) return later(given.advance(tS - heldS), heldS);
        heldS = tS;
        return atStart;
      },
    },
  };
}

/** Jumps tell their time, and it is the board's that is asked for. */
function later(state: BenchState, byS: number): BenchState {
  if (state.jumps.length === 0) return state;
  return { ...state, jumps: state.jumps.map((jump) => ({ ...jump, atS: jump.atS + byS })) };
}
