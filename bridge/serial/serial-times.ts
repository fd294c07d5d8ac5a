/** How long things take or may take on a serial link, in ms. Tests shorten them. */
export interface SerialTimes {
  /** Between two looks at an open port. */
  watchMs: number;
  /** Between two questions to a board that has not said all of what it is. */
  askMs: number;
  /** Silence after which the board is asked whether it is there. */
  probeMs: number;
  /** Silence after which the port is closed and opened again. */
  silenceMs: number;
  /** Most of the same silence: a port where nothing speaks is opened ever less often, for opening resets many boards. */
  mostSilenceMs: number;
  /** How long a board may take to say who it is; it does so every 10 s unasked. */
  confirmMs: number;
  /** Between two tries to open a port that is gone. */
  retryMs: number;
  /** Between two looks for the board under another path. */
  listMs: number;
}

export const SERIAL_TIMES: SerialTimes = {
  watchMs: 250,
  askMs: 1000,
  probeMs: 2000,
  silenceMs: 5000,
  mostSilenceMs: 40_000,
  confirmMs: 12_000,
  retryMs: 500,
  listMs: 2000,
};
