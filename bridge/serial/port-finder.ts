import type { ListPorts, PortListing } from './list-ports.ts';
import { sameDevice } from './list-ports.ts';

/**
 * Where a board may be that was lost: at its old path, or under another one. Only ports that look like the same
 * USB device are proposed, or, where nothing is known of it, ports that were not there before: opening a port
 * resets many boards, and the others belong to other benches.
 */
export class PortFinder {
  readonly #first: string;
  readonly #list: ListPorts;
  #device: PortListing | null = null;
  #before: ReadonlySet<string> = new Set();
  /** Ports where another board answered, until they vanish. */
  readonly #foreign = new Set<string>();

  constructor(first: string, list: ListPorts) {
    this.#first = first;
    this.#list = list;
  }

  /** Takes note of the ports while the board is at `path`. */
  async remember(path: string): Promise<void> {
    const ports = await this.#list();
    this.#device = ports.find((port) => port.path === path) ?? this.#device;
    this.#before = new Set(ports.map((port) => port.path));
  }

  /** USB tells this very board from others of its make. */
  get knowsByNumber(): boolean {
    return this.#device?.serialNumber !== undefined;
  }

  /** Another board answered there. */
  noteForeign(path: string): void {
    this.#foreign.add(path);
  }

  isForeign(path: string): boolean {
    return this.#foreign.has(path);
  }

  /** Paths other than `path` where the board may be now. */
  async elsewhere(path: string): Promise<string[]> {
    const ports = await this.#list();
    const there = new Set(ports.map((port) => port.path));
    for (const gone of [...this.#foreign].filter((known) => !there.has(known))) this.#foreign.delete(gone);
    const others = ports.filter((port) => port.path !== path && !this.#foreign.has(port.path));
    return others.filter((port) => this.#mayBe(port)).map((port) => port.path);
  }

  #mayBe(port: PortListing): boolean {
    if (port.path === this.#first) return true;
    if (this.#device?.vendorId === undefined) return !this.#before.has(port.path);
    return sameDevice(port, this.#device);
  }
}
