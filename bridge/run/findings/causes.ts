import { message } from '../../messages/catalogue.ts';

/** Faults of connection, each by itself. */

export const WEAK = message('driver-weak');
export const OPEN = message('driver-open');
export const DRIVER_BACK = message('driver-back');
export const CELL_BACK = message('cell-back');
export const LEADS = message('leads-swapped');
export const NO_AMMETER = message('ammeter-off');
