import type { Place, Step, Switches } from './steps.ts';

/**
 * A hand that a person moves: steps are made as they are asked for, from what was ordered last. The script of a
 * simulated bench that is worked from the page.
 */

export interface HandOrder {
  /** Where the jockey is to go; what is left out stays as it was ordered last. */
  to?: Partial<Place>;
  pressed?: boolean;
  switches?: Partial<Pick<Switches, 'keyClosed' | 'cell' | 'protect' | 'load' | 'loadOhm' | 'rheostatOhm'>>;
}

export interface HandState {
  place: Place;
  /** Where it is going. */
  to: Place;
  pressed: boolean;
  /** Whether it is to be down; lifted on the way from row to row. */
  down: boolean;
  switches: Switches;
  /** Still on its way to what was ordered. */
  busy: boolean;
}

export interface HandPaces {
  /** Along the wire with the jockey down: slow enough for a good sweep. */
  sweepCmPerS: number;
  /** Lifted. */
  carryCmPerS: number;
  rowLengthCm: number;
}

/** How long it looks away when nothing is to be done; an order waits no longer than this. */
const IDLE_S = 0.02;
const TURN_S = 0.1;

export class HandCommands implements Iterable<Step> {
  readonly #paces: HandPaces;
  readonly #place: Place;
  readonly #switches: Switches;
  #to: Place;
  #pressed = false;
  #wantedPressed = false;
  #turns: Partial<Switches>[] = [];
  /** What is being done now is more than waiting. */
  #atWork = false;

  constructor(start: Place, switches: Switches, paces: HandPaces) {
    this.#place = { ...start };
    this.#to = { ...start };
    this.#switches = { ...switches };
    this.#paces = paces;
  }

  order(order: HandOrder): void {
    if (order.to !== undefined) this.#to = { ...this.#to, ...order.to };
    if (order.pressed !== undefined) this.#wantedPressed = order.pressed;
    if (order.switches !== undefined) this.#turns.push(order.switches);
  }

  get state(): HandState {
    return {
      place: { ...this.#place },
      to: { ...this.#to },
      pressed: this.#pressed,
      down: this.#wantedPressed,
      switches: { ...this.#switches },
      busy: this.#atWork || this.#away || this.#pressed !== this.#wantedPressed || this.#turns.length > 0,
    };
  }

  *[Symbol.iterator](): Generator<Step, void, undefined> {
    while (true) {
      const step = this.#next();
      this.#atWork = step.do !== 'wait';
      yield step;
    }
  }

  get #away(): boolean {
    return this.#to.row !== this.#place.row || this.#to.scaleCm !== this.#place.scaleCm;
  }

  #next(): Step {
    const turn = this.#turns.shift();
    if (turn !== undefined) return this.#turn(turn);
    // Nobody drags a jockey from row to row: it is lifted first, and set down again.
    const down = this.#wantedPressed && this.#to.row === this.#place.row;
    if (this.#pressed && !down) return this.#press(false);
    if (this.#away) return this.#move();
    if (down !== this.#pressed) return this.#press(down);
    return { do: 'wait', seconds: IDLE_S };
  }

  #turn(switches: Partial<Switches>): Step {
    Object.assign(this.#switches, switches);
    return { do: 'turn', switches, seconds: TURN_S };
  }

  #press(down: boolean): Step {
    this.#pressed = down;
    return { do: down ? 'press' : 'lift' };
  }

  #move(): Step {
    const from = { ...this.#place };
    Object.assign(this.#place, this.#to);
    const rows = Math.abs(from.row - this.#to.row);
    const way = Math.abs(from.scaleCm - this.#to.scaleCm) + 0.1 * rows * this.#paces.rowLengthCm;
    const speed = this.#pressed ? this.#paces.sweepCmPerS : this.#paces.carryCmPerS;
    return {
      do: 'move',
      to: { ...this.#to },
      seconds: Math.max(IDLE_S, way / speed),
      profile: this.#pressed ? 'steady' : 'smooth',
    };
  }
}
