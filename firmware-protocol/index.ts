/** The wire format as a library: `tenwire/firmware-protocol`. SPEC.md is the format itself. */
export type { Command } from './commands.ts';
export { decodeCommand } from './commands.ts';
export { crc16 } from './crc16.ts';
export { decodeLine } from './decode.ts';
export {
  encodeAccepted,
  encodeBoardEvent,
  encodeChannel,
  encodeFrame,
  encodeHello,
  encodeRate,
  encodeRefused,
  encodeSample,
  WHO_ARE_YOU,
} from './encode.ts';
export type * from './frames.ts';
export { FLAGS, MAX_LINE_BYTES, SENSES } from './frames.ts';
