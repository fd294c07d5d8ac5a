/**
 * Sentences that can be said in another language: beside its English text goes which sentence it is and what stands in
 * it. Plain data, fit for JSON: a number that is more than a count or a name stands in it as text, with its decimals.
 */

/** A sentence, or a part of one, by its key in the table of words. */
export interface Saying {
  key: string;
  values: Readonly<Record<string, Value<Saying>>>;
}

/** What stands in a sentence; a text may be a sentence of its own. */
type Value<Part> = string | Part | readonly (string | Part)[] | number | boolean | null;

export interface Said {
  /** In English. */
  text: string;
  saying: Saying;
}

/** Why something was not done. */
export interface Refused extends Said {
  ok: false;
}

/** A sentence for each key, put together from values that are in words already. */
type WordTable = Readonly<Record<string, (values: never) => string>>;

/** What a sentence is given: words of the table wherever it takes a text. */
type Given<Values> = {
  [Name in keyof Values]: string extends Values[Name]
    ? Values[Name] | Said
    : Values[Name] extends readonly string[]
      ? readonly (string | Said)[]
      : Values[Name];
};

type ValuesOf<Sentence> = Sentence extends () => string
  ? []
  : Sentence extends (values: infer Values) => string
    ? [values: Given<Values>]
    : never;

/** What says the sentences of an English table. */
export const speaker =
  <Table extends WordTable>(table: Table) =>
  <Key extends keyof Table & string>(key: Key, ...[given]: ValuesOf<Table[Key]>): Said => {
    const values: Record<string, Value<Said>> = given ?? {};
    const inEnglish = eachAs(values, (said) => said.text);
    // The compiler has checked `given` against the sentence; with the key open it can't see that the two agree.
    const text = table[key](inEnglish as never);
    return { text, saying: { key, values: eachAs(values, (said) => said.saying) } };
  };

const eachAs = <Part>(
  values: Record<string, Value<Said>>,
  as: (said: Said) => Part,
): Record<string, Value<Part>> =>
  Object.fromEntries(Object.entries(values).map(([name, value]) => [name, valueAs(value, as)]));

function valueAs<Part>(value: Value<Said>, as: (said: Said) => Part): Value<Part> {
  if (value === null || typeof value !== 'object') return value;
  return 'saying' in value ? as(value) : value.map((part) => (typeof part === 'string' ? part : as(part)));
}
