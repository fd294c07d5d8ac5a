const CARRIAGE_RETURN = '\r';

/**
 * Bytes in, lines out in the same call: terminators removed, latin1, one character a byte. No line is longer than
 * `mostBytes`: a longer one is cut there, given as one line, and dropped up to its own line feed, so that garbage without
 * a line feed costs no memory.
 */
export class LineSplitter {
  readonly #mostBytes: number;
  #begun = '';
  #dropping = false;

  constructor(mostBytes: number) {
    this.#mostBytes = mostBytes;
  }

  split(bytes: Buffer): string[] {
    const text = bytes.toString('latin1');
    const lines: string[] = [];
    let from = 0;
    for (let feed = text.indexOf('\n'); feed >= 0; feed = text.indexOf('\n', from)) {
      this.#add(text.slice(from, feed), true, lines);
      from = feed + 1;
    }
    if (from < text.length) this.#add(text.slice(from), false, lines);
    return lines;
  }

  /** The line that was begun, where there is one; the next bytes begin another. */
  takeRest(): string[] {
    const rest = this.#begun === '' ? [] : [this.#begun];
    this.#begun = '';
    this.#dropping = false;
    return rest;
  }

  #add(stretch: string, ends: boolean, lines: string[]): void {
    if (this.#dropping) {
      this.#dropping = !ends;
      return;
    }
    const line = this.#begun + stretch;
    const tooLong = line.length > this.#mostBytes;
    this.#begun = ends || tooLong ? '' : line;
    if (!ends && !tooLong) return;
    this.#dropping = !ends;
    lines.push(withoutReturn(line.slice(0, this.#mostBytes)));
  }
}

const withoutReturn = (line: string): string => (line.endsWith(CARRIAGE_RETURN) ? line.slice(0, -1) : line);
