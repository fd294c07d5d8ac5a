import type { Said, Saying, Words } from '../../bridge/serve/messages.ts';

/** What the bridge says, put into the words of another language; English comes along, for what a language lacks. */
export const inWords =
  (words: Words) =>
  ({ text, saying }: Said): string =>
    sentence(words, saying) ?? text;

function sentence(words: Words, { key, values }: Saying): string | undefined {
  // The bridge has checked the values against the sentence of this key.
  const inLanguage = (words as Record<string, (values: never) => string>)[key];
  return inLanguage?.(eachInWords(words, values) as never);
}

const eachInWords = (words: Words, values: Saying['values']) =>
  Object.fromEntries(
    Object.entries(values).map(([name, value]) => [
      name,
      Array.isArray(value) ? value.map((part) => partInWords(words, part)) : partInWords(words, value),
    ]),
  );

const partInWords = <Part>(words: Words, part: Part | Saying): Part | string =>
  isSaying(part) ? (sentence(words, part) ?? '') : part;

const isSaying = (part: unknown): part is Saying =>
  typeof part === 'object' && part !== null && 'key' in part;
