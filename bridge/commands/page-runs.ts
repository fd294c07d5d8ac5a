import type { RunSession } from '../session/run-session.ts';
import { resultLines } from './result-lines.ts';
import type { Terminal } from './terminal.ts';
import { watchSession } from './watch-session.ts';

/** Runs that are begun on the page, told on the terminal as those are that were begun there. */
export class PageRuns {
  readonly #terminal: Terminal;
  readonly #begun: { session: RunSession; stopWatching: () => void }[] = [];

  constructor(terminal: Terminal) {
    this.#terminal = terminal;
  }

  /** Tells of a run from its beginning. */
  begun(session: RunSession): void {
    this.#terminal.out(`a run was begun on the page; recording: ${session.recordingPath()}`);
    this.#begun.push({ session, stopWatching: watchSession(session, this.#terminal, null) });
  }

  /** Tells the results once the runs are closed. False where a recording could not be written to its end. */
  end(): boolean {
    let whole = true;
    for (const { session, stopWatching } of this.#begun) {
      stopWatching();
      const { trouble } = session.recording();
      for (const line of resultLines(session.view())) this.#terminal.out(line);
      this.#terminal.out(`recording: ${session.recordingPath()}`);
      if (trouble === null) continue;
      this.#terminal.note(`WARNING: ${trouble.text}`);
      whole = false;
    }
    return whole;
  }
}
