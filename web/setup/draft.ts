/** A bench as it is being described: JSON, not checked yet. The bridge checks it when it is saved. */
export type Draft = Record<string, unknown>;

const isRecord = (value: unknown): value is Draft =>
  typeof value === 'object' && value !== null && !Array.isArray(value);

/** The value at a path such as `wire.rows`; undefined where there is none. */
export function at(draft: Draft, path: string): unknown {
  return path.split('.').reduce<unknown>((value, key) => (isRecord(value) ? value[key] : undefined), draft);
}

/** Parts that a bench file may lack; there with nothing in it, one would be faulty. */
const MAY_LACK = ['position', 'ammeter', 'voltmeter', 'driver', 'endCorrection', 'turnCorrectionCm'];

/** A draft with one value put in; undefined takes it out, and a part that it leaves empty. Everything else is kept as it is. */
export function withValue(draft: Draft, path: string, value: unknown): Draft {
  const [key, ...rest] = path.split('.');
  const next = { ...draft };
  if (rest.length > 0) {
    const before = next[key];
    const inner = withValue(isRecord(before) ? before : {}, rest.join('.'), value);
    if (Object.keys(inner).length === 0 && MAY_LACK.includes(key)) delete next[key];
    else next[key] = inner;
  } else if (value === undefined) delete next[key];
  else next[key] = value;
  return next;
}

/** What a bench is made of before anything is known of it. Nothing here is a measured value of any bench. */
export const BLANK: Draft = {
  format: 'tenwire-bench/1',
  name: '',
  wire: { rows: 10, rowLengthCm: 100, zeroEnd: 'left' },
  galvanometer: {},
  cells: { '1': {}, '2': {} },
};
