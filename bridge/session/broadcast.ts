/** Listeners of one happening, told in the order in which they came. */
export class Broadcast<Value> {
  readonly #listeners = new Set<(value: Value) => void>();

  /** Returns the way to stop listening. */
  on(listener: (value: Value) => void): () => void {
    this.#listeners.add(listener);
    return () => this.#listeners.delete(listener);
  }

  tell(value: Value): void {
    for (const listener of this.#listeners) listener(value);
  }
}
