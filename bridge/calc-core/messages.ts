import { messageFormatter } from './message.ts';

/** The sentences of the calculations, in English. Other languages fill the same keys: a missing one does not compile. */
export const CALCULATION_MESSAGES = {
  // How a result was worked out.
  'method-one-set': () => 'One set; the end correction is taken as known before the run.',
  'method-sets': ({ sets }: { sets: number }) =>
    `Least squares over ${sets} sets with errors in both lengths and their correlations; the end correction is estimated from the sets together with what was known of it before the run.`,
  'method-widened': ({ method }: { method: string }) =>
    `${method} Widened, because the sets scatter more than their uncertainties allow.`,
  'method-one-load': () => 'One load; the end correction is taken as known before the run.',
  'method-loads': ({ loads }: { loads: number }) =>
    `Least squares over ${loads} loads with errors in lengths and loads and their correlations; the end correction is estimated along, from what was known of it before the run.`,
  'method-monte-carlo': ({
    method,
    trials,
    tolerance,
  }: {
    method: string;
    trials: number;
    tolerance: string;
  }) =>
    `${method} The interval is that of a Monte Carlo run of ${trials} trials, whose ends differ from k·u by more than ${tolerance}.`,

  // What the rows of a budget are.
  'row-length': ({ cell, set }: { cell: number; set: number }) =>
    `balancing length of cell ${cell}, set ${set}`,
  'row-open-length': ({ set }: { set: number }) => `balancing length with the load out, set ${set}`,
  'row-loaded-length': ({ ohm, set }: { ohm: number; set: number }) =>
    `balancing length with the load in (${ohm} ohm), set ${set}`,
  'row-load': ({ ohm }: { ohm: number }) => `load of ${ohm} ohm`,
  'row-end-correction': () => 'end correction, as known before the run',
  'row-scatter': () => 'scatter between sets beyond the stated uncertainties',
  'row-lag': () => 'lag of the galvanometer behind the moving jockey',
  'row-zero': () => 'zero of the galvanometer',
  'row-of-bench': ({ what, bench }: { what: string; bench: string }) => `${what}, bench file ${bench}`,
  'row-drift': ({ set }: { set: string }) => `drift of the driver current in set ${set}`,
  'row-common': ({ name }: { name: string }) => `${name}, common to several lengths`,
  'row-position': () => 'calibration of the position sensor',
  'row-wire': () => 'uniformity of the wire',
  'row-turns': () => 'strips that join the rows',
  'row-thermal': () => 'thermal EMFs',
  'row-reference': () => 'EMF of the reference cell',

  // What the sets and their fit give reason to say.
  'sets-scatter': ({ times }: { times: string }) =>
    `The sets scatter ${times} times as much as their uncertainties say; the result is widened for it. Look for a set that was disturbed.`,
  'sets-scatter-but-one': ({ times, set }: { times: string; set: number }) =>
    `The sets scatter ${times} times as much as their uncertainties say; the result is widened for it. Without set ${set} the others agree: check its cell, its row and its readings, and reject its nulls if it was disturbed.`,
  'sets-alike': () =>
    'The sets were taken at nearly one driver current, so they say nothing of the end correction: it is taken as known before the run. Change the current from set to set.',
  'load-exchanged': ({ set, ohm }: { set: number; ohm: number }) =>
    `Set ${set}: with ${ohm} ohm across the cell the balancing length is longer than without, so r comes out below zero. Load in and out exchanged, or a length misread?`,
  'end-correction-contradicts': ({
    cm,
    uCm,
    fileCm,
    fileUCm,
  }: {
    cm: string;
    uCm: string;
    fileCm: string;
    fileUCm: string;
  }) =>
    `The sets put the end correction at ${cm} cm with standard uncertainty ${uCm} cm, which contradicts the bench file (${fileCm} cm with ${fileUCm} cm). Check the joint at A and the zero of the scale.`,
  'end-correction-counts': ({ cm, uCm, otherwise }: { cm: string; uCm: string; otherwise: string }) =>
    `The end correction is ${cm} cm with standard uncertainty ${uCm} cm: it counts. ${otherwise}`,
  'ratio-without-it': ({ off }: { off: string }) =>
    `The plain mean of l1/l2 leaves it out and differs by ${off}.`,
  'resistance-without-it': () => 'R (l0/l - 1) without it is off.',
  'no-complete-set': () =>
    'No set has balancing lengths of both cells: E1/E2 needs one at least, and better four or more.',
  'no-complete-load': () =>
    'No set has balancing lengths with the load out and in and the resistance of the load: r needs one at least, and better several loads.',
  'one-set-only': () =>
    'There is one set only: nothing tests the end correction or the scatter. Take four or more at different driver currents.',
  'one-load-only': () => 'There is one load only: nothing tests that r stays the same. Take several loads.',
  'nothing-to-weigh-by': () => 'The lengths carry no uncertainty that a fit could weigh them by.',
  'reference-without-emf': () =>
    'The EMF of the reference cell must be above 0 and its standard uncertainty stated.',

  'weston-out-of-range': (given: { formula: string; fromC: number; toC: number; atC: string }) =>
    `The formula (${given.formula}) holds from ${given.fromC} to ${given.toC} °C, not at ${given.atC} °C.`,
  'weston-senseless': () => 'The EMF at 20 °C must be above 0, and no uncertainty may be below 0.',

  // What cannot be calculated with.
  'bench-value-senseless': () =>
    'What is known of the bench holds a value that is missing or senseless; check the bench file.',
  'set-left-out': ({ set, why }: { set: string; why: string }) =>
    `Set ${set} is left out: ${why}. Measure it again or reject it.`,
  'number-not-whole': () => 'its number is no whole number',
  'number-twice': () => 'its number was given before',
  'load-senseless': ({ ohm }: { ohm: string }) => `its load is ${ohm} ohm`,
  'load-uncertainty-senseless': ({ ohm }: { ohm: string }) => `the uncertainty of its load is ${ohm} ohm`,
  'load-twice': ({ ohm }: { ohm: number }) => `it was given before with the same load (${ohm} ohm)`,
  'length-of-cell': ({ cell, fault }: { cell: number; fault: string }) =>
    `the balancing length of cell ${cell} ${fault}`,
  'open-length': ({ fault }: { fault: string }) => `the balancing length with the load out ${fault}`,
  'loaded-length': ({ fault }: { fault: string }) => `the balancing length with the load in ${fault}`,
  'length-not-above-0': ({ cm }: { cm: string }) => `is ${cm} cm; a balancing length is above 0`,
  'length-without-uncertainty': () => 'has no standard uncertainty',
  'length-without-dof': () => 'has an uncertainty without degrees of freedom',
  'length-with-odd-effect': () => 'has a common effect that is no number',

  // Rows of the budget that nobody stated a value for.
  'row-absent': ({ what }: { what: string }) => `The budget has no row for ${what}; it is taken as zero.`,
  'absent-position': () => 'the calibration of the position sensor (position.standardUncertaintyCm)',
  'absent-wire': () => 'the uniformity of the wire (wire.uniformityRelative)',
  'absent-turns': () => 'the strips that join the rows (wire.turnCorrectionCm)',
  'absent-thermal': () => 'thermal EMFs, because no driver current turns microvolts into length',
  'absent-load': () =>
    'The budget has no row for the load resistance, because its uncertainty was not stated; it is taken as zero.',

  // A run to come.
  'plan-not-above-0': () => 'EMFs, galvanometer resistance and reading uncertainty must be above 0.',
  'plan-resistances': () => 'Resistances must not be below 0, and the rheostat range must run upwards.',
  'plan-no-set': () => 'Plan one set or more.',
  'plan-weak-driver': ({ driverV, cellV }: { driverV: number; cellV: number }) =>
    `The driver (${driverV} V) must have a larger EMF than either cell (${cellV} V): no null lies on the wire otherwise.`,
  'plan-beyond-wire': ({ ohm, cm }: { ohm: number; cm: string }) =>
    `Even with the rheostat at ${ohm} ohm the larger EMF would balance at ${cm} cm, beyond the end of the wire. Use a driver of larger EMF.`,
  'plan-short-reach': ({ cm }: { cm: string }) =>
    `The rheostat cannot bring the larger EMF's null to the last row (${cm} cm at most): a larger resistance would make better use of the wire.`,
  'plan-close-settings': () =>
    'The settings lie close together, so the sets will say little about the end correction.',
  'plan-hot': ({ mA, watts }: { mA: string; watts: string }) =>
    `${mA} mA turn ${watts} W into heat in each metre of wire: the wire can burn skin. Do not plan so; use a smaller current.`,
  'plan-warm': ({ mA, watts }: { mA: string; watts: string }) =>
    `${mA} mA turn ${watts} W into heat in each metre of wire: it warms and its resistance drifts. Close the key only while reading, and wait between readings.`,
};

export const message = messageFormatter(CALCULATION_MESSAGES);
