import { setImmediate as nextTurn } from 'node:timers/promises';

/** Longest stretch of work before the event loop gets its turn. */
const SLICE_MS = 10;
const LOOK_EVERY = 64;

/**
 * Runs through `items` in slices, so that live lines and pages get their turn. `last` is called in the same turn
 * in which the items ran out: nothing can have come in between.
 */
export async function inSlices<Item>(
  items: Iterable<Item>,
  take: (item: Item) => void,
  last: () => void = () => {},
  goOn: () => boolean = () => true,
): Promise<void> {
  let until = performance.now() + SLICE_MS;
  let count = 0;
  for (const item of items) {
    take(item);
    count += 1;
    if (count % LOOK_EVERY !== 0 || performance.now() < until) continue;
    await nextTurn();
    if (!goOn()) return;
    until = performance.now() + SLICE_MS;
  }
  last();
}
