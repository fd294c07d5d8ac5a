import type { Message, MessageDescriptor, Words } from '../../bridge/serve/page-protocol.ts';

/** What the bridge says, put into the words of another language; English comes along, for what a language lacks. */
export const localise =
  (words: Words) =>
  ({ text, descriptor }: Message): string =>
    sentence(words, descriptor) ?? text;

function sentence(words: Words, { key, values }: MessageDescriptor): string | undefined {
  // The bridge has checked the values against the sentence of this key.
  const inLanguage = (words as Record<string, (values: never) => string>)[key];
  return inLanguage?.(eachLocalised(words, values) as never);
}

const eachLocalised = (words: Words, values: MessageDescriptor['values']) =>
  Object.fromEntries(
    Object.entries(values).map(([name, value]) => [
      name,
      Array.isArray(value) ? value.map((part) => partLocalised(words, part)) : partLocalised(words, value),
    ]),
  );

const partLocalised = <Part>(words: Words, part: Part | MessageDescriptor): Part | string =>
  isDescriptor(part) ? (sentence(words, part) ?? '') : part;

const isDescriptor = (part: unknown): part is MessageDescriptor =>
  typeof part === 'object' && part !== null && 'key' in part;
