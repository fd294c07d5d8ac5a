/** What the nulls, the sets and the stream of a run give reason to message, in English. */
export const RUN_MESSAGES = {
  'zero-off': ({ counts, statedCounts }: { counts: string; statedCounts: string }) =>
    `With the jockey lifted the galvanometer reads ${counts} counts; the bench file says ${statedCounts}. ` +
    'The lifted jockey is believed; set the zero anew in the bench file.',
  'rest-off': ({ counts, statedCounts }: { counts: string; statedCounts: string }) =>
    `The galvanometer comes to rest at ${counts} counts, taken for its zero; the bench file says ${statedCounts}. ` +
    'This board does not sense contact: lift the jockey, look whether it rests there, and set the zero anew in the bench file.',
  'row-unknown': ({ ids }: { ids: string }) => `${ids}: the row is not known. Say it, and the null counts.`,
  'cell-unknown': ({ ids }: { ids: string }) => `${ids}: the cell is not known. Say it, and the null counts.`,
  'nulls-apart': (found: { set: number; cell: number; nulls: number; mm: string; times: string }) =>
    `Set ${found.set}, cell ${found.cell}: its ${found.nulls} nulls scatter by ${found.mm} mm, ` +
    `${found.times} times what each promises. The uncertainty has been widened; look for a ` +
    'drifting driver, a loose jockey or a dirty wire.',
  'no-better-than-eye': ({ set, cell, mm }: { set: number; cell: number; mm: string }) =>
    `Set ${set}, cell ${cell}: the readings tell the null to ${mm} mm only, no better than the ` +
    'eye on the scale (0.5 mm). Take the protective resistance out, raise the driver current, or sweep more slowly.',
  'driver-drifted': ({ set, percent }: { set: number; percent: string }) =>
    `Set ${set}: the driver current drifted by ${percent} % between its nulls. ` +
    'Lengths are brought to one current; let the driver settle, and take its nulls there and back: first, second, second, first.',
  'driver-changed': ({ set }: { set: number }) =>
    `Set ${set}: the driver current was changed between its nulls. Its lengths are not of one current; begin a new set after each change.`,
  'driver-reads-less': ({ cell, driverV, cellV }: { cell: number; driverV: number; cellV: number }) =>
    `By the voltmeter the driver (${driverV} V) does not read more than cell ${cell} (${cellV} V), so no null of that ` +
    'cell can lie on the wire: use a stronger driver, or read both again.',

  'driver-reads-low': ({ cell, driverV, cellV }: { cell: number; driverV: number; cellV: number }) =>
    `By the voltmeter the driver (${driverV} V) does not read more than cell ${cell} (${cellV} V), and yet a null of that cell ` +
    'lies on the wire: one of the two was misread. Read both again and mend the bench file.',
  'ratio-unlike-voltmeter': ({ ratio, stated, why }: { ratio: string; stated: string; why: string }) =>
    `The lengths give E1/E2 = ${ratio}, the voltmeter's readings ${stated}: that is no matter of uncertainty. ${why}`,
  'blunder-cells': () => 'The cells were exchanged, at the two-way key or in the bench file.',
  'blunder-one-cell': () => 'Was the same cell balanced twice?',
  'blunder-other': () =>
    'Look for a misread row, a cell that was not the one in circuit, or a misread voltmeter.',
  'null-unlike-ammeter': (found: { set: number; cell: number; mA: string; volts: string; stated: string }) =>
    `Set ${found.set}: by the ammeter (${found.mA} mA) and the stated resistance of the wire the null of cell ${found.cell} lies at ` +
    `${found.volts} V, but the cell is stated with ${found.stated} V. Check the ammeter's reading, scale and zero, the resistance in the bench file, and the row.`,

  // Of a reference cell.
  'reference-unprotected': ({ cell, ohm }: { cell: number; ohm: number | null }) =>
    `Cell ${cell} is a reference cell: put a protective resistance of 100 kilohm or more in series and state it in ` +
    `the bench file (${ohm === null ? 'none is stated' : `it is ${ohm} ohm`}).`,
  'reference-unknown': ({ cell, why }: { cell: number; why: string }) =>
    `The EMF of reference cell ${cell} is not known: ${why}`,
  'reference-temperature': () => 'its temperature must be stated with the cell or with the run.',
  'reference-worked': (found: { cell: number; atLeast: boolean; microamps: string; cm: string }) =>
    `${found.atLeast ? 'more than ' : ''}${found.microamps} microamperes flowed through reference cell ${found.cell} ` +
    `at ${found.cm} cm from A: its EMF has shifted and comes back only in hours. Let it rest, then compare it with ` +
    'another before it is trusted.',
  'load-without-ohm': ({ sets }: { sets: string }) =>
    `Set ${sets}: the resistance of the load is not known. Say how many ohm it has, and the set counts.`,
  'reference-loaded': ({ cell }: { cell: number }) =>
    `Cell ${cell} is a reference cell: no load may be put across it. Its internal resistance can't be measured this way.`,

  // Of the line from the board, the recording and the bench file.
  'samples-lost': ({ samples, percent }: { samples: number; percent: string }) =>
    `${samples} samples never arrived (${percent} %).`,
  'lines-damaged': ({ lines }: { lines: number }) =>
    `${lines} lines could not be read and were left out; look at the cable and the baud rate if they go on.`,
  'board-restarted': ({ times }: { times: number }) =>
    `The board started anew ${times === 1 ? 'once' : `${times} times`} during the run.`,
  'recording-torn': () => 'The recording ends in the middle of a line, which is left out.',
  'bench-unusable': ({ event, faults }: { event: number; faults: readonly string[] }) =>
    `The bench file in event ${event} cannot be used: ${faults.join('; ')}`,
  'no-bench': () => 'No bench file has been given, so counts cannot be turned into lengths and currents.',
  'nothing-yet': () => 'Neither a bench file nor a sample has come yet: nothing is measured so far.',
  'events-unreadable': ({ events, numbers }: { events: number; numbers: string }) =>
    `${events === 1 ? 'One event' : `${events} events`} could not be understood and what they said is missing (no. ${numbers} of the recording’s ! lines).`,
  'hum-folded': ({ rateHz }: { rateHz: number }) =>
    `At ${rateHz} samples a second mains hum looks like a steady or slow current and shifts the null. Choose a rate a few ` +
    'hertz away from 100, 120 and all that divides them, such as 200 or 90.',

  // Why a null does not count.
  rejected: () => 'rejected',
  'rejected-because': ({ reason }: { reason: string }) => `rejected: ${reason}`,
  'null-protected': () => 'protective resistance in: it guides, and does not count',
  'null-row-unknown': () => 'the row is not known',
  'null-off-rows': ({ row, rows }: { row: number; rows: number }) =>
    `there is no row ${row}: the wire has ${rows}`,
  'null-off-scale': ({ cm, rowCm }: { cm: string; rowCm: number }) =>
    `the scale reading ${cm} cm lies off the wire, whose rows are ${rowCm} cm long`,
  'null-cell-unknown': () => 'the cell is not known',
  'null-other-cell': ({ cell }: { cell: number }) =>
    `this run measures the internal resistance of cell ${cell}`,
  'null-loaded': () => 'a load resistance was across the cell',
};
