/** Where a command writes, and how it hears that it should stop. */
export interface Terminal {
  /** A line of what was asked for (standard output). */
  out(line: string): void;
  /** A line about the work itself (standard error). */
  note(line: string): void;
  /** A line that is overwritten by the next one; where nobody watches it is not even made. */
  progress(line: string | (() => string)): void;
  /** Somebody sits there and can be asked. */
  readonly interactive: boolean;
}

/** What a command answers: 0 done, 1 the work failed, 2 wrong use. */
export type ExitCode = 0 | 1 | 2;

interface Printed extends Pick<NodeJS.WritableStream, 'write'> {
  isTTY?: boolean;
  columns?: number;
}

interface Streams {
  stdout: Printed;
  stderr: Printed;
  stdin: { isTTY?: boolean };
}

/** A text from elsewhere (a bench's name, a file's) with the characters made visible that would steer a terminal. */
const visible = (text: string): string =>
  text.replace(
    // biome-ignore lint/suspicious/noControlCharactersInRegex: these are what is looked for
    /[\x00-\x08\x0b-\x1f\x7f-\x9f\u202a-\u202e\u2066-\u2069]/g,
    (steering) => `\\u${steering.charCodeAt(0).toString(16).padStart(4, '0')}`,
  );

/** For a stream that is a terminal; a pipe or a file gets a text as it is. */
const forStream = (text: string, { isTTY }: Printed): string => (isTTY ? visible(text) : text);

export function processTerminal({ stdout, stderr, stdin }: Streams = process): Terminal {
  let shown = false;
  const clear = () => {
    if (shown) stderr.write('\r\x1b[K');
    shown = false;
  };
  return {
    out: (line) => {
      clear();
      stdout.write(`${forStream(line, stdout)}\n`);
    },
    note: (line) => {
      clear();
      stderr.write(`${forStream(line, stderr)}\n`);
    },
    progress: (line) => {
      if (!stderr.isTTY) return;
      clear();
      const text = typeof line === 'string' ? line : line();
      stderr.write(visible(text).slice(0, (stderr.columns ?? 80) - 1));
      shown = text !== '';
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
