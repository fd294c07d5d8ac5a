import type { Message, MessageDescriptor } from '../calc-core/message.ts';
import type { MessageCatalogue } from './catalogue.ts';

/** What the bridge says, put into the words of another language; English comes along, for what a language lacks. */
export const localise =
  (catalogue: Partial<MessageCatalogue>) =>
  ({ text, descriptor }: Message): string =>
    sentence(catalogue, descriptor) ?? text;

function sentence(
  catalogue: Partial<MessageCatalogue>,
  { key, values }: MessageDescriptor,
): string | undefined {
  // The bridge has checked the values against the sentence of this key.
  const inLanguage = (catalogue as Record<string, (values: never) => string>)[key];
  return inLanguage?.(eachLocalised(catalogue, values) as never);
}

const eachLocalised = (catalogue: Partial<MessageCatalogue>, values: MessageDescriptor['values']) =>
  Object.fromEntries(
    Object.entries(values).map(([name, value]) => [
      name,
      Array.isArray(value)
        ? value.map((part) => partLocalised(catalogue, part))
        : partLocalised(catalogue, value),
    ]),
  );

const partLocalised = <Part>(
  catalogue: Partial<MessageCatalogue>,
  part: Part | MessageDescriptor,
): Part | string => (isDescriptor(part) ? (sentence(catalogue, part) ?? '') : part);

const isDescriptor = (part: unknown): part is MessageDescriptor =>
  typeof part === 'object' && part !== null && 'key' in part;
