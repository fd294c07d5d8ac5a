import { expect, test } from 'vitest';
import { type Chip, newEeprom, powerOn, runUntil } from '../../bridge/emulate/chip.ts';
import { attachSerialLine, type SerialLine } from '../../bridge/emulate/serial-line.ts';
import type { Command } from '../../firmware-protocol/commands.ts';
import type { BadLine, Frame } from '../../firmware-protocol/frames.ts';
import { recordedProgram } from './firmware.ts';
import { vectors } from './vectors.ts';

/** The codec's C, compiled for the chip and run there, held to the same vectors as the bridge's codec. */

let text = '';
let chip: Chip;
let line: SerialLine;

function begin(): void {
  chip = powerOn(recordedProgram('conformance'), newEeprom());
  line = attachSerialLine(chip, (byte) => {
    text += String.fromCharCode(byte);
  });
}

function ask(what: string, request: string): string {
  if (chip === undefined) begin();
  text = '';
  line.send(Buffer.from(`${what}${request}\n`, 'latin1'));
  const patience = chip.cpu.cycles + 16_000_000;
  while (!text.endsWith('\n') && chip.cpu.cycles < patience) runUntil(chip.cpu, chip.cpu.cycles + 1000);
  return text.slice(0, -1);
}

const fieldsOf = (value: Frame | Command | BadLine): (string | number | null)[] => {
  switch (value.type) {
    case 'H':
      return ['H', value.board, value.firmware, value.rateHz, value.senses];
    case 'C':
      return ['C', value.index, value.channel, value.minCount, value.maxCount];
    case 'S':
      return ['S', value.seq, value.tUs, value.gal, value.pos, value.drv, value.row, value.flags];
    case 'E':
      return ['E', value.tUs, value.name, value.argument];
    case 'A':
      return ['A', value.command];
    case 'X':
      return ['X', value.command, value.reason];
    case 'bad':
      return ['bad', value.reason, value.field];
    case 'R':
      return ['R', value.rateHz];
    case '?':
      return ['?'];
    case 'other':
      return ['other', value.name];
  }
};

/** The fields as conformance.c writes them. */
const answerOf = (value: Frame | Command | BadLine): string =>
  fieldsOf(value)
    .map((field) => field ?? '-')
    .join('|');

test.each(vectors.crc)('C: CRC of "$text" is $crc', ({ text: payload, crc }) => {
  expect(ask('Z', payload)).toBe(crc);
});

test.each(vectors.lines)('C: line: $note', ({ line: given, expect: wanted }) => {
  expect(ask('D', given)).toBe(answerOf(wanted));
});

test.each(vectors.commands)('C: command: $note', ({ line: given, expect: wanted }) => {
  expect(ask('K', given)).toBe(answerOf(wanted));
});

test.each(vectors.encode)('C: encode: $line', ({ frame, line: wanted }) => {
  expect(ask('E', answerOf(frame))).toBe(wanted);
});
