import type { RandomStream } from './random.ts';
import type { ContactOptions } from './scene.ts';

/** Whether blade and wire really touch: bounce at a press and a lift, chatter in between. */
export interface Contact {
  /** Told when the hand presses or lifts. */
  change(pressed: boolean, atS: number): void;
  /** Moves on to a time; hands every make and break on the way to `report`, in order. */
  advance(tS: number, report: (touches: boolean, atS: number) => void): boolean;
}

export function createContact(options: ContactOptions, random: RandomStream): Contact {
  let touches = false;
  let pressed = false;
  /** Times at which contact changes over, ahead of us, in order. */
  let pending: number[] = [];
  let dirtS = Number.POSITIVE_INFINITY;

  const nextDirt = (fromS: number): number =>
    options.chatterPerS > 0
      ? fromS - Math.log(1 - random.uniform()) / options.chatterPerS
      : Number.POSITIVE_INFINITY;

  /** Moments in pairs after one that settles matters: the state after all of them is the pressed one. */
  function bounce(atS: number): number[] {
    const pairs = options.bounces > 0 ? Math.round(2 * options.bounces * random.uniform()) : 0;
    const times = Array.from({ length: 2 * pairs }, () => atS + (options.bounceMs / 1000) * random.uniform());
    return times.sort((a, b) => a - b);
  }

  function dirt(): void {
    pending.push(dirtS, dirtS + options.chatterMs / 1000);
    dirtS = nextDirt(dirtS + options.chatterMs / 1000);
  }

  return {
    change(nowPressed, atS) {
      if (nowPressed === pressed) return;
      // Changes still ahead are overtaken; what is left must end in the new state.
      pending = touches === nowPressed ? bounce(atS) : [atS, ...bounce(atS)];
      pressed = nowPressed;
      dirtS = pressed ? nextDirt(atS + options.bounceMs / 1000) : Number.POSITIVE_INFINITY;
    },
    advance(tS, report) {
      if (pending.length === 0 && dirtS <= tS) dirt();
      while (pending.length > 0 && pending[0] <= tS) {
        touches = !touches;
        report(touches, pending.shift() as number);
      }
      return touches;
    },
  };
}
