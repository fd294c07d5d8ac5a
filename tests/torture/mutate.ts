import type { RandomStream } from '../../bridge/simulate/random.ts';

const EXTREMES = [
  '',
  '-1',
  '4294967296',
  '1e308',
  'NaN',
  '99999999999999999999',
  '\0',
  'null',
  '{}',
  '\xff\xfe',
  '"',
];

const whole = (random: RandomStream, below: number): number => Math.floor(below * random.uniform());

const byte = (random: RandomStream): string => String.fromCharCode(whole(random, 256));

type Damage = (random: RandomStream, text: string) => string;

const DAMAGES: Damage[] = [
  // One byte is another one.
  (random, text) => {
    const at = whole(random, text.length);
    return text.slice(0, at) + byte(random) + text.slice(at + 1);
  },
  // A stretch is missing, or comes twice.
  (random, text) => {
    const from = whole(random, text.length);
    return text.slice(0, from) + text.slice(from + whole(random, 20));
  },
  (random, text) => {
    const from = whole(random, text.length);
    const stretch = text.slice(from, from + whole(random, 200));
    return text.slice(0, from) + stretch + text.slice(from);
  },
  // A field, or a value of JSON, is an extreme one.
  (random, text) => {
    const extreme = EXTREMES[whole(random, EXTREMES.length)];
    const fields = [...text.matchAll(/[^,:{}[\]]+/g)];
    const field = fields[whole(random, fields.length)];
    return field === undefined
      ? extreme
      : text.slice(0, field.index) + extreme + text.slice(field.index + field[0].length);
  },
  // The rest is noise.
  (random, text) =>
    text.slice(0, whole(random, text.length)) +
    Array.from({ length: whole(random, 150) }, () => byte(random)).join(''),
];

/** A text with one to three damages, drawn. */
export function damaged(random: RandomStream, text: string): string {
  let result = text;
  for (let times = 1 + whole(random, 3); times > 0; times -= 1)
    result = DAMAGES[whole(random, DAMAGES.length)](random, result);
  return result;
}
