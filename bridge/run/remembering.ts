/** Work that costs much is done again only when something that it reads is another. */

type Same = (before: unknown, now: unknown) => boolean;

/** The same work, which answers as before for as long as all its inputs are the same. */
export function remembering<Inputs extends readonly unknown[], Output>(
  work: (...inputs: Inputs) => Output,
  same: Same = Object.is,
): (...inputs: Inputs) => Output {
  let last: { inputs: Inputs; output: Output } | null = null;
  return (...inputs) => {
    if (last === null || !inputs.every((input, at) => same(last?.inputs[at], input)))
      last = { inputs, output: work(...inputs) };
    return last.output;
  };
}

/** Equal plain data. Of anything else only the same object is the same. */
export function sameData(a: unknown, b: unknown): boolean {
  if (Object.is(a, b)) return true;
  if (Array.isArray(a) && Array.isArray(b))
    return a.length === b.length && a.every((item, at) => sameData(item, b[at]));
  if (!isPlain(a) || !isPlain(b)) return false;
  const keys = Object.keys(a);
  return keys.length === Object.keys(b).length && keys.every((key) => key in b && sameData(a[key], b[key]));
}

const isPlain = (value: unknown): value is Record<string, unknown> =>
  typeof value === 'object' && value !== null && Object.getPrototypeOf(value) === Object.prototype;

/** What comes out of `work`, each item that equals the one before in its place kept as the very same object. */
export function keepingSame<Inputs extends readonly unknown[], Item>(
  work: (...inputs: Inputs) => Item[],
): (...inputs: Inputs) => readonly Item[] {
  let before: readonly Item[] = [];
  return (...inputs) => {
    const now = work(...inputs).map((item, at) => (sameData(before[at], item) ? before[at] : item));
    const isSame = now.length === before.length && now.every((item, at) => item === before[at]);
    before = isSame ? before : now;
    return before;
  };
}
