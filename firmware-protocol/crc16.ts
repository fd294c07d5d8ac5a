/**
 * CRC-16/CCITT-FALSE (catalogue name CRC-16/IBM-3740): polynomial 0x1021, initial value 0xFFFF, not
 * reflected, no final XOR. Published check value: `123456789` gives 0x29B1.
 */

const TABLE = Uint16Array.from({ length: 256 }, (_, byte) => {
  let crc = byte << 8;
  for (let bit = 0; bit < 8; bit += 1) crc = crc & 0x8000 ? (crc << 1) ^ 0x1021 : crc << 1;
  return crc & 0xffff;
});

/** CRC of `text` (one character a byte, as read in latin1) from its start up to, not including, `end`. */
export function crc16(text: string, end: number = text.length): number {
  let crc = 0xffff;
  for (let index = 0; index < end; index += 1) {
    crc = ((crc << 8) & 0xffff) ^ TABLE[((crc >> 8) ^ text.charCodeAt(index)) & 0xff];
  }
  return crc;
}
