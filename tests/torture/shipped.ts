import type { Tenwire } from '../cli/tenwire.ts';
import { buildTenwire } from '../cli/tenwire.ts';

let built: Tenwire | null = null;

/** The program as it is shipped, built once for all parts. */
export function shipped(): Tenwire {
  built ??= buildTenwire();
  return built;
}

export function removeShipped(): void {
  built?.remove();
  built = null;
}
