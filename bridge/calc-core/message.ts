/**
 * Sentences that can be said in another language: beside its English text goes which sentence it is and what stands in
 * it. Plain data, fit for JSON: a number that is more than a count or a name stands in it as text, with its decimals.
 */

/** A sentence, or a part of one, by its key in the table of words. */
export interface MessageDescriptor {
  key: string;
  values: Readonly<Record<string, Value<MessageDescriptor>>>;
}

/** What stands in a sentence; a text may be a sentence of its own. */
type Value<Part> = string | Part | readonly (string | Part)[] | number | boolean | null;

export interface Message {
  /** In English. */
  text: string;
  descriptor: MessageDescriptor;
}

/** Why something was not done. */
export interface Refused extends Message {
  ok: false;
}

/** A sentence for each key, put together from values that are in words already. */
type MessageTable = Readonly<Record<string, (values: never) => string>>;

/** What a sentence is given: words of the table wherever it takes a text. */
type Given<Values> = {
  [Name in keyof Values]: string extends Values[Name]
    ? Values[Name] | Message
    : Values[Name] extends readonly string[]
      ? readonly (string | Message)[]
      : Values[Name];
};

type ValuesOf<Sentence> = Sentence extends () => string
  ? []
  : Sentence extends (values: infer Values) => string
    ? [values: Given<Values>]
    : never;

/** What says the sentences of an English table. */
export const messageFormatter =
  <Table extends MessageTable>(table: Table) =>
  <Key extends keyof Table & string>(key: Key, ...[given]: ValuesOf<Table[Key]>): Message => {
    const values: Record<string, Value<Message>> = given ?? {};
    const inEnglish = eachAs(values, (said) => said.text);
    // The compiler has checked `given` against the sentence; with the key open it can't see that the two agree.
    const text = table[key](inEnglish as never);
    return { text, descriptor: { key, values: eachAs(values, (said) => said.descriptor) } };
  };

const eachAs = <Part>(
  values: Record<string, Value<Message>>,
  as: (said: Message) => Part,
): Record<string, Value<Part>> =>
  Object.fromEntries(Object.entries(values).map(([name, value]) => [name, valueAs(value, as)]));

function valueAs<Part>(value: Value<Message>, as: (said: Message) => Part): Value<Part> {
  if (value === null || typeof value !== 'object') return value;
  return 'descriptor' in value
    ? as(value)
    : value.map((part) => (typeof part === 'string' ? part : as(part)));
}
