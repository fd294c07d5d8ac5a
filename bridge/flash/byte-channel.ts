/** An open serial port as a boot loader needs it: bytes there and back, and the reset line. */
export interface ByteChannel {
  /** Rejects once the port is gone. */
  write(bytes: Uint8Array): Promise<void>;
  /** The next bytes; null where not all of them come in time, or the port is gone. */
  read(count: number, withinMs: number): Promise<Uint8Array | null>;
  pause(ms: number): Promise<void>;
  /** Throws away what has come and was not read. */
  discard(): void;
  /** Pulls the reset line, which hangs on DTR or RTS. False where the port has no such lines. */
  reset(): Promise<boolean>;
  /** The port is there no more. */
  readonly isGone: boolean;
  close(): Promise<void>;
}

export type Opened = { ok: true; channel: ByteChannel } | { ok: false; text: string };
