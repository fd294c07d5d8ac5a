import { InvalidArgumentError } from 'commander';
import { type RoomUrl, readRoomUrl } from '../room/room-url.ts';
import { isRoomName } from '../room/topics.ts';

/** Readers of option values; each names what it expected. */

export function positiveNumber(text: string): number {
  const value = Number(text);
  if (text.trim() === '' || !(value > 0)) throw new InvalidArgumentError('a number above 0 was expected.');
  return value;
}

const wholeBetween =
  (least: number, most: number) =>
  (text: string): number => {
    const value = /^\d+$/.test(text) ? Number(text) : Number.NaN;
    if (!(value >= least && value <= most))
      throw new InvalidArgumentError(`a whole number from ${least} to ${most} was expected.`);
    return value;
  };

export const seconds = wholeBetween(1, 3600);
export const tcpPort = wholeBetween(0, 65_535);
export const seedNumber = wholeBetween(0, 0x7fffffff);
export const studentCount = wholeBetween(1, 20);
export const setCount = wholeBetween(1, 20);
export const rowCount = wholeBetween(1, 20);
export const baudRate = wholeBetween(300, 4_000_000);

/** Two resistances with a hyphen between them, the smaller one first. */
export function ohmRange(text: string): [number, number] {
  const ends = text.split('-').map((part) => (part.trim() === '' ? Number.NaN : Number(part)));
  const [least, most] = ends;
  if (ends.length !== 2 || !(least >= 0 && most > least && most < Number.POSITIVE_INFINITY))
    throw new InvalidArgumentError('a range such as 0-20 was expected, in ohm.');
  return [least, most];
}

/** A value and its expanded uncertainty with a comma between them. */
export function statedValue(text: string): { value: number; U: number } {
  const [value, U, ...more] = text.split(',').map((part) => (part.trim() === '' ? Number.NaN : Number(part)));
  if (!(Number.isFinite(value) && U > 0 && U < Number.POSITIVE_INFINITY) || more.length > 0)
    throw new InvalidArgumentError('a value and its U were expected, such as 1.1532,0.0004.');
  return { value, U };
}

/** `mqtt://host[:port]/NAME`. */
export function roomAddress(text: string): RoomUrl {
  const reading = readRoomUrl(text);
  if (!reading.ok) throw new InvalidArgumentError(reading.text);
  return reading.url;
}

/** Of a room, or of a computer in it. */
export function stationName(text: string): string {
  if (!isRoomName(text))
    throw new InvalidArgumentError(
      'It takes at most 24 lower-case letters, digits and single dashes, such as bench-4.',
    );
  return text;
}
