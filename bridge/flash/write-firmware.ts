import type { ByteChannel, Opened } from './byte-channel.ts';
import { readIntelHex } from './intel-hex.ts';
import { BootLoader } from './stk500.ts';

/** Writes a program to an ATmega328P by its serial boot loader, reads it back, and starts it. */

/** Of an ATmega328P (datasheet DS40002061, tables 27-2 and 28-4). */
const PAGE_BYTES = 128;
const SIGNATURES = ['1e950f', '1e9514'];
/** The older of the common boot loaders takes 2 KiB at the end of flash, the newer one a quarter of that. */
const BOOT_LOADER_FROM = 0x7800;

/** Those of the newer boot loader and of the older one. */
const BAUD_RATES = [115_200, 57_600];
/** A board whose reset does not hang on the port is reset by hand meanwhile. */
const ROUNDS = 3;
const TRIES = 4;
const LET_GO_TRIES = 10;
const LET_GO_MS = 300;

export type Written = { ok: true; pages: number; baudRate: number } | { ok: false; text: string };

export interface FirmwareWriter {
  open(baudRate: number): Promise<Opened>;
  /** What goes on, for a line that is written over. */
  progress(text: string): void;
}

/** @param hex the text of an Intel HEX file */
export async function writeFirmware(hex: string, { open, progress }: FirmwareWriter): Promise<Written> {
  const image = pagesOf(hex);
  if (!image.ok) return image;
  const found = await findBootLoader(open, progress);
  if (!found.ok) return found;
  const { channel, loader, baudRate } = found;
  try {
    const obstacle = await writeAndVerify(loader, image.pages, progress);
    if (obstacle !== null)
      return { ok: false, text: channel.isGone ? `the port went away: ${obstacle}` : obstacle };
    return { ok: true, pages: image.pages.length, baudRate };
  } finally {
    await channel.close();
  }
}

/** Refused before the first byte is sent: a board without its boot loader can't be written by its port again. */
function pagesOf(hex: string): { ok: true; pages: Uint8Array[] } | { ok: false; text: string } {
  const reading = readIntelHex(hex);
  if (!reading.ok) return { ok: false, text: `the firmware file is not sound: ${reading.fault}` };
  const { endByte, program } = reading;
  if (endByte === 0) return { ok: false, text: 'the firmware file holds nothing' };
  if (endByte > BOOT_LOADER_FROM)
    return {
      ok: false,
      text: `the firmware reaches to byte ${endByte}, into the place of the boot loader (from ${BOOT_LOADER_FROM} on): nothing was written`,
    };
  const bytes = new Uint8Array(program.buffer);
  const count = Math.ceil(endByte / PAGE_BYTES);
  const pages = Array.from({ length: count }, (_, page) =>
    bytes.subarray(page * PAGE_BYTES, (page + 1) * PAGE_BYTES),
  );
  return { ok: true, pages };
}

type Found =
  | { ok: true; channel: ByteChannel; loader: BootLoader; baudRate: number }
  | { ok: false; text: string };

async function findBootLoader(
  open: FirmwareWriter['open'],
  progress: FirmwareWriter['progress'],
): Promise<Found> {
  let hasResetLine = true;
  let earlier: ByteChannel | null = null;
  for (let round = 0; round < ROUNDS; round += 1)
    for (const baudRate of BAUD_RATES) {
      progress(
        `asking for the boot loader at ${baudRate} baud${hasResetLine ? '' : '; press the reset button'}`,
      );
      const opened = await openAfter(earlier, () => open(baudRate));
      if (!opened.ok) return opened;
      const { channel } = opened;
      earlier = channel;
      hasResetLine = await channel.reset();
      const loader = new BootLoader(channel);
      if (await loader.answers(TRIES)) return { ok: true, channel, loader, baudRate };
      const { isGone } = channel;
      await channel.close();
      if (isGone) return { ok: false, text: 'the port went away while the boot loader was asked for' };
    }
  return {
    ok: false,
    text: `no boot loader answered, at ${BAUD_RATES.join(' or ')} baud: begin again and press the board's reset button meanwhile; a chip without a serial boot loader is written with a programmer`,
  };
}

/** The system may need a moment to let go of a port that was closed just now. */
async function openAfter(earlier: ByteChannel | null, open: () => Promise<Opened>): Promise<Opened> {
  let opened = await open();
  for (let left = LET_GO_TRIES; earlier !== null && !opened.ok && left > 0; left -= 1) {
    await earlier.pause(LET_GO_MS);
    opened = await open();
  }
  return opened;
}

/** Null where all is well, else what stood in the way; the boot loader is untouched in any case. */
async function writeAndVerify(
  loader: BootLoader,
  pages: readonly Uint8Array[],
  progress: FirmwareWriter['progress'],
): Promise<string | null> {
  const signature = await loader.signature();
  if (signature === null) return silentAt('it was asked which chip it is on');
  const chip = Array.from(signature, (byte) => byte.toString(16).padStart(2, '0')).join('');
  if (!SIGNATURES.includes(chip))
    return `the chip says that it is ${chip}, and the firmware is for an ATmega328P (${SIGNATURES[0]}): nothing was written`;
  if (!(await loader.enter())) return silentAt('writing was to begin');
  for (const [page, bytes] of pages.entries()) {
    progress(`writing page ${page + 1} of ${pages.length}`);
    if (!(await loader.writePage(page * PAGE_BYTES, bytes)))
      return silentAt(`page ${page + 1} of ${pages.length} was written`);
  }
  for (const [page, bytes] of pages.entries()) {
    progress(`reading page ${page + 1} of ${pages.length} back`);
    const read = await loader.readPage(page * PAGE_BYTES, PAGE_BYTES);
    if (read === null) return silentAt(`page ${page + 1} of ${pages.length} was read back`);
    if (bytes.some((byte, index) => byte !== read[index]))
      return `page ${page + 1} reads back otherwise than it was written: write it again; where that does not help, the chip's flash is worn`;
  }
  return (await loader.leave()) ? null : silentAt('the program was to begin');
}

const silentAt = (when: string): string =>
  `the boot loader fell silent when ${when}; nothing is broken: begin again`;
