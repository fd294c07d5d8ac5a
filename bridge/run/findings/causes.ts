import { say } from '../../words/words.ts';

/** Faults of connection, each by itself. */

export const WEAK = say('driver-weak');
export const OPEN = say('driver-open');
export const DRIVER_BACK = say('driver-back');
export const CELL_BACK = say('cell-back');
export const LEADS = say('leads-swapped');
export const NO_AMMETER = say('ammeter-off');
