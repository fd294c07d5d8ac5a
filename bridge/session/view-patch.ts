/**
 * What has changed from one view to the next, and putting it in: a view grows with its run, a change must not. Views are plain
 * JSON data; parts that did not change keep their identity on both sides, so that nothing is looked at or drawn in vain.
 */

type Json = unknown;
type Path = (string | number)[];

/** One place with its new value; without a value the place is gone. An array's `length` shortens it. */
export type Change = [path: Path, value: Json] | [path: Path];

const isObject = (value: Json): value is Record<string, Json> => typeof value === 'object' && value !== null;

const isLike = (one: object, other: object): boolean => Array.isArray(one) === Array.isArray(other);

/** The changes that make `after` of `before`; none where they say the same. */
export function changesBetween(before: Json, after: Json): Change[] {
  const changes: Change[] = [];
  compare(before, after, [], changes);
  return changes;
}

function compare(before: Json, after: Json, path: Path, changes: Change[]): void {
  if (Object.is(before, after)) return;
  if (!isObject(before) || !isObject(after) || !isLike(before, after)) changes.push([path, after]);
  else if (Array.isArray(before) && Array.isArray(after)) compareArrays(before, after, path, changes);
  else compareRecords(before, after, path, changes);
}

function compareArrays(before: Json[], after: Json[], path: Path, changes: Change[]): void {
  if (after.length < before.length) changes.push([[...path, 'length'], after.length]);
  for (const [place, value] of after.entries()) {
    if (place < before.length) compare(before[place], value, [...path, place], changes);
    else changes.push([[...path, place], value]);
  }
}

function compareRecords(
  before: Record<string, Json>,
  after: Record<string, Json>,
  path: Path,
  changes: Change[],
): void {
  for (const name of Object.keys(before)) if (own(after, name) === undefined) changes.push([[...path, name]]);
  for (const [name, value] of Object.entries(after))
    if (value !== undefined) compare(own(before, name), value, [...path, name], changes);
}

/** A bench file may hold any field, `__proto__` too, which every object seems to have. */
const own = (record: Record<string, Json>, name: string): Json =>
  Object.hasOwn(record, name) ? record[name] : undefined;

function setOwn(holder: Record<string | number, Json>, name: string | number, value: Json): void {
  if (Array.isArray(holder)) holder[name as number] = value;
  else Object.defineProperty(holder, name, { value, writable: true, enumerable: true, configurable: true });
}

/** A view with changes put in. What they do not touch is the very same value as before. */
export function withChanges<View>(view: View, changes: readonly Change[]): View {
  const fresh = new Set<Json>();
  let root: Json = view;
  for (const [path, ...given] of changes) {
    if (path.length === 0) root = given[0];
    else {
      root = ownCopy(root, fresh);
      let holder = root as Record<string | number, Json>;
      for (const step of path.slice(0, -1)) {
        holder[step] = ownCopy(holder[step], fresh);
        holder = holder[step] as Record<string | number, Json>;
      }
      const last = path[path.length - 1];
      if (given.length === 0) delete holder[last];
      else setOwn(holder, last, given[0]);
    }
  }
  return root as View;
}

/** A copy that may be written to; the value itself where it is one already. */
function ownCopy(value: Json, fresh: Set<Json>): Json {
  if (fresh.has(value)) return value;
  const copy = Array.isArray(value) ? [...value] : { ...(value as object) };
  fresh.add(copy);
  return copy;
}
