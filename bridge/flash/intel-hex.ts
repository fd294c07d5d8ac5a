/** Intel HEX (Intel, "Hexadecimal Object File Format Specification", 1988): record types 00, 01, 02 and 04. */

/** `endByte`: the first byte behind the last that the file states. */
export type HexReading = { ok: true; program: Uint16Array; endByte: number } | { ok: false; fault: string };

/** Words of flash of an ATmega328P. */
const FLASH_WORDS = 0x4000;

/** Reads the text of a .hex file into flash words; bytes that the file leaves out are 0xFF, as erased flash is. */
export function readIntelHex(text: string): HexReading {
  const bytes = new Uint8Array(FLASH_WORDS * 2).fill(0xff);
  let base = 0;
  let endByte = 0;
  for (const [index, line] of text.trim().split(/\r?\n/).entries()) {
    const record = recordOf(line);
    if (record === null) return { ok: false, fault: `line ${index + 1} is not a sound Intel HEX record` };
    if (record.type === 1) return { ok: true, program: new Uint16Array(bytes.buffer), endByte };
    if (record.type === 2) base = (record.data[0] * 256 + record.data[1]) * 16;
    if (record.type === 4) base = (record.data[0] * 256 + record.data[1]) * 65536;
    if (record.type !== 0) continue;
    const from = base + record.address;
    if (from + record.data.length > bytes.length)
      return { ok: false, fault: `line ${index + 1}: beyond 32 KiB` };
    bytes.set(record.data, from);
    endByte = Math.max(endByte, from + record.data.length);
  }
  return { ok: false, fault: 'the end record is missing: the file is cut off' };
}

function recordOf(line: string): { type: number; address: number; data: Uint8Array } | null {
  if (!/^:(?:[0-9A-Fa-f]{2}){5,}$/.test(line)) return null;
  const bytes = Uint8Array.from(line.slice(1).match(/../g)!, (pair) => Number.parseInt(pair, 16));
  const sum = bytes.reduce((total, byte) => (total + byte) & 0xff, 0);
  if (bytes.length !== bytes[0] + 5 || sum !== 0) return null;
  return { type: bytes[3], address: bytes[1] * 256 + bytes[2], data: bytes.subarray(4, -1) };
}
