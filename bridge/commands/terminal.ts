/** Where a command writes, and how it hears that it should stop. */
export interface Terminal {
  /** A line of what was asked for (standard output). */
  out(line: string): void;
  /** A line about the work itself (standard error). */
  note(line: string): void;
  /** A line that is overwritten by the next one; nothing where nobody watches. */
  progress(line: string): void;
  /** Somebody sits there and can be asked. */
  readonly interactive: boolean;
}

/** What a command answers: 0 done, 1 the work failed, 2 wrong use. */
export type ExitCode = 0 | 1 | 2;

export function processTerminal(): Terminal {
  const { stdout, stderr, stdin } = process;
  let shown = false;
  const clear = () => {
    if (shown) stderr.write('\r\x1b[K');
    shown = false;
  };
  return {
    out: (line) => {
      clear();
      stdout.write(`${line}\n`);
    },
    note: (line) => {
      clear();
      stderr.write(`${line}\n`);
    },
    progress: (line) => {
      if (!stderr.isTTY) return;
      clear();
      stderr.write(line.slice(0, (stderr.columns ?? 80) - 1));
      shown = line !== '';
    },
    interactive: stdin.isTTY === true && stderr.isTTY === true,
  };
}

/** Resolves at the first Ctrl-C or other polite request to end; the second one ends the program at once. */
export function untilAskedToEnd(): Promise<void> {
  return new Promise((resolve) => {
    let asked = false;
    const end = () => {
      if (asked) process.exit(1);
      asked = true;
      resolve();
    };
    for (const signal of ['SIGINT', 'SIGTERM', 'SIGHUP'] as const) process.on(signal, end);
  });
}
