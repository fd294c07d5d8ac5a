import { crc16 } from './crc16.ts';
import type { BoardEventFrame, ChannelFrame, Frame, HelloFrame, OtherFrame, SampleFrame } from './frames.ts';
import { MAX_LINE_BYTES } from './frames.ts';

const hex = (value: number, digits: number): string => value.toString(16).toUpperCase().padStart(digits, '0');

/**
 * A payload with its CRC behind it, without a terminator.
 * @throws RangeError where the payload holds a byte that the format forbids, or would be too long.
 */
export function sealPayload(payload: string): string {
  if (!/^[\x20-\x29\x2b-\x7e]*$/.test(payload))
    throw new RangeError(`not a payload: ${JSON.stringify(payload)}`);
  if (payload.length + 7 > MAX_LINE_BYTES)
    throw new RangeError(`payload of ${payload.length} bytes is too long`);
  return `${payload}*${hex(crc16(payload), 4)}`;
}

export const encodeHello = (frame: Omit<HelloFrame, 'type'>): string =>
  sealPayload(`H,1,${frame.board},${frame.firmware},${frame.rateHz},${hex(frame.senses, 2)}`);

export const encodeChannel = (frame: Omit<ChannelFrame, 'type'>): string =>
  sealPayload(`C,${frame.index},${frame.channel},${frame.minCount},${frame.maxCount}`);

export const encodeSample = (frame: Omit<SampleFrame, 'type'>): string =>
  sealPayload(
    `S,${frame.seq},${frame.tUs},${frame.gal ?? ''},${frame.pos ?? ''},${frame.drv ?? ''},` +
      `${frame.row},${hex(frame.flags, 2)}`,
  );

export const encodeBoardEvent = (frame: Omit<BoardEventFrame, 'type'>): string =>
  sealPayload(`E,${frame.tUs},${frame.name}${frame.argument === null ? '' : `,${frame.argument}`}`);

export const encodeAccepted = (command: string): string => sealPayload(`A,${command}`);

export const encodeRefused = (command: string, reason: string): string =>
  sealPayload(`X,${command},${reason}`);

/** The line of any frame that a board sends, as the encoders above make it. */
export function encodeFrame(frame: Exclude<Frame, OtherFrame>): string {
  switch (frame.type) {
    case 'H':
      return encodeHello(frame);
    case 'C':
      return encodeChannel(frame);
    case 'S':
      return encodeSample(frame);
    case 'E':
      return encodeBoardEvent(frame);
    case 'A':
      return encodeAccepted(frame.command);
    case 'X':
      return encodeRefused(frame.command, frame.reason);
  }
}

/** Commands from bridge to board. */
export const WHO_ARE_YOU = sealPayload('?');

export const encodeRate = (rateHz: number): string => sealPayload(`R,${rateHz}`);
