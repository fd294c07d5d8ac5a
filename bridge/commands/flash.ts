import { readFileSync } from 'node:fs';
import { writeFirmware } from '../flash/write-firmware.ts';
import { openChannel } from '../serial/open-channel.ts';
import type { ExitCode, Terminal } from './terminal.ts';

export interface FlashOptions {
  port: string;
  /** An Intel HEX file; null for the firmware that comes with the program. */
  image: string | null;
}

const FIRMWARE = new URL('../../firmware-protocol/atmega328p/tenwire.hex', import.meta.url);

/** Writes the firmware to a board by its serial boot loader. */
export async function flash({ port, image }: FlashOptions, terminal: Terminal): Promise<ExitCode> {
  let hex: string;
  try {
    hex = readFileSync(image ?? FIRMWARE, 'latin1');
  } catch (error) {
    terminal.note(`the firmware could not be read: ${(error as Error).message}`);
    return 2;
  }
  const written = await writeFirmware(hex, {
    open: (baudRate) => openChannel(port, baudRate),
    progress: (text) => terminal.progress(text),
  });
  terminal.progress('');
  if (!written.ok) {
    terminal.note(written.text);
    return 1;
  }
  terminal.out(`${written.pages} pages were written at ${written.baudRate} baud and read back as they are`);
  terminal.out(`next: tenwire check-board --port ${port}`);
  return 0;
}
