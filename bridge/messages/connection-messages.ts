/** What the connection check says, in English. */
export const CONNECTION_MESSAGES = {
  'zero-end-wrong': () =>
    'The nulls of each cell agree with one another only if the metre scale begins at its other end: mend the zero end of the wire in the bench file (the lengths now shown are wrong).',
  'row-wrong': ({ id, row, said }: { id: string; row: number; said: number }) =>
    `${id} was found on row ${said}, and agrees with the other sets only on row ${row}: look at the row and assign the null to it, or reject it.`,
  'mark-off': ({ mark, offCm }: { mark: string; offCm: string }) =>
    `The calibration mark at ${mark} cm lies ${offCm} cm off the line through its neighbours: was it mistyped, or the jockey held beside it? Hold it again.`,
  'leads-turned': ({ id, cause }: { id: string | null; cause: string }) =>
    `The galvanometer goes - towards A and + towards B${id === null ? '' : ` (${id})`}: ${cause}. The nulls are sound and are used.`,
  'no-deflection': () =>
    'The galvanometer does not move anywhere on the wire: look for an open branch (jockey lead, galvanometer, ' +
    'two-way key, protective resistance, cell) and for a dead cell.',
  'no-deflection-or-lifted': ({ still }: { still: string }) =>
    `${still} This board does not sense contact, so a lifted jockey would look the same.`,
  'one-direction-only': ({ cell }: { cell: number }) =>
    `Cell ${cell}: only one direction of deflection so far. Touch near both ends of the wire, A and B.`,
  'wire-jumps': (found: { fromCm: string; toCm: string; idle: boolean; others: readonly string[] }) =>
    `The deflection jumps from one side to the other between ${found.fromCm} cm and ${found.toCm} cm from A` +
    `${found.idle ? ' while no driver current flows' : ''}: the wire, or a strip that joins two rows, is broken there` +
    `${found.others.map((cause) => `; or ${cause}`).join('')}.`,
  'saturated-about-null': ({ cell, fromCm, toCm }: { cell: number; fromCm: string; toCm: string }) =>
    `Cell ${cell}: the galvanometer is at the end of its span on both sides of the null, between ${fromCm} cm and ` +
    `${toCm} cm from A. Move more slowly there, or lower the sensitivity.`,
  'null-between': ({ cell, fromCm, toCm }: { cell: number; fromCm: string; toCm: string }) =>
    `Cell ${cell}: the null lies between ${fromCm} cm and ${toCm} cm from A and has not been found closer yet. Sweep slowly or tap there.`,
  'current-grows-less': ({ set, cell }: { set: number; cell: number }) =>
    `Set ${set}, cell ${cell}: off the null the galvanometer's current grows far less than at it, so that no null can be made out: its amplifier clips or its gain falls. ` +
    'Sweep within the part in which it grows evenly, or lower the gain.',
  'rate-too-low': ({ set, cell, hz }: { set: number; cell: number; hz: string }) =>
    `Set ${set}, cell ${cell}: its touches give too few samples to make out a null, at ${hz} a second. ` +
    'Let the board sample faster, sweep more slowly, and hold taps longer.',
  'same-sign': ({ cell, side, causes }: { cell: number; side: '+' | '-'; causes: readonly string[] }) =>
    `Cell ${cell} deflects ${side} at both ends of the wire: ${causes.join('; or ')}.`,

  // Causes, to stand after a colon or an "or".
  'driver-weak': () =>
    'the driver is too weak for this cell over the whole wire (raise the driver current: less rheostat resistance, a fresh driver cell)',
  'driver-open': () => 'no driver current flows (key open, rheostat or a lead loose)',
  'driver-back': () => 'the driver cell is reversed',
  'driver-and-cell-back': () => 'the driver cell is reversed and this cell too',
  'driver-and-cells-back': () => 'the driver cell is reversed and the cells are too',
  'cell-back': () => 'this cell is reversed',
  'leads-swapped': () => "the galvanometer's leads are swapped against the bench file",
  'ammeter-off': () => 'the ammeter channel is not connected',
  'one-or-other': ({ one, other }: { one: string; other: string }) => `${one}; or ${other}`,
  'one-and-other': ({ one, other }: { one: string; other: string }) => `${one} and ${other}`,
  'one-with-other': ({ one, other }: { one: string; other: string }) => `${one}, and ${other}`,
  'one-besides-either': (cause: { one: string; other: string; another: string }) =>
    `${cause.one}, and besides ${cause.other} or ${cause.another}`,
};
