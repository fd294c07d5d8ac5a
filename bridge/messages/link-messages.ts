/** Messages on the link to the board and on ports that do not open, in English. */
export const LINK_MESSAGES = {
  'link-not-started': () => 'not started yet',
  'link-ended': ({ path, how, wanted }: { path: string; how: string; wanted: string }) =>
    `${path}: ${how}; looking for ${wanted} again`,
  'link-waiting': ({ wanted, fault }: { wanted: string; fault: string }) => `waiting for ${wanted}: ${fault}`,
  'link-open': ({ path, wanted }: { path: string; wanted: string }) =>
    `${path} is open; waiting for ${wanted}`,
  'link-lines': ({ path }: { path: string }) => `lines come from ${path}`,
  'link-board': ({ path, board }: { path: string; board: string }) => `board ${board} at ${path}`,
  'link-remark': ({ path, remark }: { path: string; remark: string }) => `${path}: ${remark}`,
  'the-board': () => 'the board',
  'board-unnamed': () => 'a board without a name, at its own port alone (N,bench-4 gives it a name)',
  'board-named': ({ board }: { board: string }) => `board ${board}`,

  'port-gone': () => 'the port went away',
  'port-closed': () => 'closed',
  'nothing-came': ({ seconds }: { seconds: number }) => `nothing came for ${seconds} s`,
  'other-board': ({ board }: { board: string }) => `board ${board} answers there`,
  'name-in-use': ({ board, path }: { board: string; path: string }) =>
    `a board ${board} speaks at ${path} already: give this one another name (N,another-name at a serial terminal) and plug it in again`,
  'nameless-board': () => 'what answers there does not say which board it is',
  'rate-refused': ({ rateHz, why }: { rateHz: number; why: string }) =>
    `the board does not sample at ${rateHz} Hz: ${why}`,
  'bytes-unreadable': () =>
    'bytes come but no line of them can be read: is the baud rate right (--baud), and is it a board for tenwire?',

  'port-busy': ({ path }: { path: string }) =>
    `${path} is in use by another program (a serial monitor, or a second tenwire): close that first`,
  'port-not-found': ({ path }: { path: string }) => `there is no port ${path}: is the board plugged in?`,
  'port-unnamed': () => 'no port was named: "tenwire ports" lists those there are',
  'port-forbidden': ({ path, remedy }: { path: string; remedy: string }) =>
    `you may not open ${path}: ${remedy}`,
  'not-a-port': ({ path }: { path: string }) => `${path} is not a serial port`,
  'port-failed': ({ path, message }: { path: string; message: string }) =>
    `${path} could not be opened: ${message}`,
  'ask-who-looks-after-it': () => 'ask whoever looks after this computer',
  'join-the-group': ({ path }: { path: string }) =>
    `on Linux the ports belong to a group, mostly dialout (ls -l ${path} tells); join it with "sudo usermod -aG dialout $USER", then log out and in again`,

  /** The operating system's own words. */
  'as-it-came': ({ words }: { words: string }) => words,
};
