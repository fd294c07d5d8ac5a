import { messageFormatter } from './message.ts';

/** The sentences of the calculations, in English. Other languages fill the same keys: a missing one does not compile. */
export const CALCULATION_MESSAGES = {
  // How a result was worked out.
  'method-one-set': () =>
    'One set, averaged over what can lie behind it: sizes of the end correction, of unevenness of the wire and of change of the cells.',
  'method-sets': ({ sets }: { sets: number }) =>
    `Average over the models that explain ${sets} sets, each a least-squares fit with errors in both lengths and their correlations, weighted by how probable the sets make it. The models differ in the size of the end correction, of unevenness of the wire and of change of the cells, and in slips.`,
  'method-one-load': () =>
    'One load, averaged over what can lie behind it: sizes of the end correction, of unevenness of the wire and of change of the cell.',
  'method-loads': ({ loads }: { loads: number }) =>
    `Average over the models that explain ${loads} loads, each a least-squares fit with errors in lengths and loads and their correlations, weighted by how probable the loads make it. The models differ in the size of the end correction, of unevenness of the wire and of change of the cell, and in slips.`,

  // What the rows of a budget are.
  'row-length': ({ cell, set }: { cell: number; set: number }) =>
    `balancing length of cell ${cell}, set ${set}`,
  'row-open-length': ({ set }: { set: number }) => `balancing length with the load out, set ${set}`,
  'row-loaded-length': ({ ohm, set }: { ohm: number; set: number }) =>
    `balancing length with the load in (${ohm} ohm), set ${set}`,
  'row-load': ({ ohm }: { ohm: number }) => `load of ${ohm} ohm`,
  'row-end-correction': () => 'end correction, as known before the run',
  'row-end-assumed': () => 'end correction of a bench that nobody measured',
  'row-slips': () => 'a length misread or a cell that jumps',
  'row-models': () => 'what the sets cannot tell apart',
  'row-lag': () => 'lag of the galvanometer behind the moving jockey',
  'row-zero': () => 'zero of the galvanometer',
  'row-of-bench': ({ what, bench }: { what: string; bench: string }) => `${what}, bench file ${bench}`,
  'row-drift': ({ set }: { set: string }) => `drift of the driver current in set ${set}`,
  'row-common': ({ name }: { name: string }) => `${name}, common to several lengths`,
  'row-position': () => 'calibration of the position sensor',
  'row-taper': () => 'taper of the wire from end to end',
  'row-walk': () => 'unevenness along the wire',
  'row-rows': () => 'rows of the wire that differ',
  'row-cells': () => 'change of the EMFs during the run',
  'row-turns': () => 'strips that join the rows',
  'row-thermal': () => 'thermal EMFs',
  'row-reference': () => 'EMF of the reference cell',

  // What the sets and their fit give reason to say.
  'row-uneven': ({ row, percent }: { row: number; percent: string }) =>
    `The sets disagree as they would on an uneven wire; row ${row} fits least (its resistance per length off by about ${percent} %). Take more sets whose nulls lie elsewhere, or have the wire mapped.`,
  'cell-drifts': ({ cell, percent }: { cell: number; percent: string }) =>
    `The sets disagree as they would with a cell that changes; cell ${cell} by about ${percent} % a minute. Let it rest, take the cells in the order 1-2-2-1, and work quickly.`,
  'cell-jumped': ({ set }: { set: number }) =>
    `The sets disagree as they would with an EMF that jumped after set ${set}. Look at the cells' contacts and take the sets again.`,
  'set-off': ({ set }: { set: number }) =>
    `Set ${set} does not agree with the others: check its cell, its row and its readings, and reject its nulls if it was disturbed.`,
  'statement-contradicted': ({ what }: { what: string }) =>
    `The sets contradict what the bench file states (${what}): it is larger than that.`,
  'result-outside-sets': ({ off }: { off: string }) =>
    `The result lies outside the ratios of its own sets, by ${off}: it rests on the end correction. Measure that, or take sets whose lengths differ more.`,
  'sets-alike': () =>
    'The sets were taken at nearly one driver current, so they say nothing of the end correction: it is taken as known before the run. Change the current from set to set.',
  'load-exchanged': ({ set, ohm }: { set: number; ohm: number }) =>
    `Set ${set}: with ${ohm} ohm across the cell the balancing length is longer than without, so r comes out below zero. Load in and out exchanged, or a length misread?`,
  'end-correction-contradicts': ({ cm, uCm }: { cm: string; uCm: string }) =>
    `The sets put the end correction at ${cm} cm with standard uncertainty ${uCm} cm, which contradicts the bench file. Check the joint at A and the zero of the scale.`,
  'end-correction-counts': ({ cm, uCm }: { cm: string; uCm: string }) =>
    `The end correction is ${cm} cm with standard uncertainty ${uCm} cm: it counts, and a plain ratio of lengths is off.`,
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
  'row-assumed': ({ what }: { what: string }) =>
    `Nobody stated ${what}; an ordinary size of benches that nobody has measured is taken.`,
  'absent-position': () => 'the calibration of the position sensor (position.standardUncertaintyCm)',
  'absent-end': () => 'the end correction (endCorrection)',
  'absent-wire': () => 'the unevenness along the wire (wire.uniformityRelative)',
  'absent-rows': () => 'how much the rows differ (wire.rowSpreadRelative)',
  'absent-turns': () => 'the strips that join the rows (wire.turnCorrectionCm)',
  'absent-thermal': () => 'the thermal EMFs (thermalEmfUv)',
  'absent-steady': () => 'how steady the cells are (cells.N.steadyRelativePerMin)',
  'thermal-without-current': ({ set }: { set: number }) =>
    `The budget has no row for thermal EMFs of set ${set}, because no driver current turns microvolts into length; they are taken as zero.`,
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
  // What a student worked out by hand.
  'working-right': () => 'Right.',
  'working-no-number': () => 'This is no number.',
  'working-last-digit': () => 'Right but for its last digit: round once, at the end.',
  'working-few-digits': () => 'Right as far as it goes, but rounded too soon: keep a digit more.',
  'working-unexplained': () => 'This does not follow from the readings, and no usual slip leads to it.',
  'working-not-corrected': () => 'This is the reading itself: the zero correction of the ammeter is missing.',
  'working-correction-turned': () => 'The zero correction of the ammeter was put in the wrong way round.',
  'working-exchanged': () => 'The two lengths are exchanged: this is what the other way round gives.',
  'working-row': ({ which }: { which: number }) =>
    `A slip of a row: the ${which === 1 ? 'first' : 'second'} length is a whole row too long or too short.`,
  'working-zero-end': ({ which }: { which: number }) =>
    `The ${which === 1 ? 'first' : 'second'} length was taken from the wrong end of its row.`,
  'working-zero-ends': () => 'Both lengths were taken from the wrong end of their row.',
  'working-follows': () => 'This follows from your numbers above, of which one or more are wrong.',
  'working-left-out': ({ set }: { set: number }) => `This is the mean without set ${set}.`,
  'working-single': () =>
    'This is the standard deviation of a single value; that of the mean is smaller by the root of their number.',
  'working-population': () =>
    'This divides by the number of values; one less is right where the mean comes from the same values.',
  'working-half-range': () => 'This is half of the range; the standard deviation of the mean is asked for.',
};

export const message = messageFormatter(CALCULATION_MESSAGES);
