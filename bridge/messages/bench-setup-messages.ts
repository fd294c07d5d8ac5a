/** What the bridge answers a page that asks in vain, and what is wrong with files, in English. */
export const BENCH_SETUP_MESSAGES = {
  'asked-oddly': () => 'The page asked in a way that is not known.',
  'message-odd': () => 'That message is none of protocol version 1; reload the page.',
  'bridge-failed': ({ message }: { message: string }) => `The bridge failed at it: ${message}`,
  'job-given-up': ({ minutes }: { minutes: string }) =>
    `It was not done in ${minutes} minutes and was given up.`,
  'bridge-ends': () => 'The bridge is ending.',
  'replays-many': ({ most }: { most: string }) => `${most} replays are open: close one of them first.`,
  'too-busy': () => 'Too much is being worked out at once: ask again in a minute.',
  'run-gone': () => 'That run is not here any more.',
  'no-run-open': () => 'No run is open on this page.',
  'watches-only': () => 'This page only watches. Open the bench page on the bridge itself to steer.',
  'no-hand': () => 'Only a simulated bench that is worked by hand can be moved from the page.',
  'replay-only-played': () =>
    'This is a replay: to add to the recording, take it up again (tenwire run --resume).',
  'copied-only-watched': () => 'This run is at another computer: it is watched here, and nothing else.',
  'live-not-played': () => 'This run is live: it can be played back once it has ended (tenwire replay).',
  'run-begun-elsewhere': () =>
    'This run was not begun from a page: end it in the terminal where it was begun, with Ctrl-C.',
  'port-of-run': ({ path, run }: { path: string; run: string }) =>
    `${path} is the port of ${run}, which is on: end that run first, or choose another port.`,
  'recording-of-run': ({ file }: { file: string }) => `${file} is the recording of a run that is on.`,
  'no-such-null': ({ id }: { id: string }) => `There is no null ${id} in this run.`,
  'no-such-event': ({ event }: { event: number }) => `There is no event ${event} in this run.`,
  'bench-not-taken-back': () =>
    'A bench file is not taken back: lines have been read by it. Enter the right one, and it holds from then on.',
  'results-not-taken-back': () => 'Whether results are hidden is the teacher’s to say.',
  'results-hidden': () => 'Results are hidden until your own working is handed in.',
  'results-hidden-in': ({ file }: { file: string }) =>
    `${file}: its results are hidden until the own working is handed in.`,
  'teacher-only': () => 'Only the teacher’s page may hide results or show them.',
  'event-taken-back': ({ event }: { event: number }) => `Event ${event} has been taken back already.`,

  'no-counts': () => 'Nothing is open to read counts from: choose a port first.',
  'no-samples-held': () => 'No samples came while the jockey was held: check that the board answers.',
  'plan-needs-voltages': () =>
    'A plan needs the voltmeter readings of driver, cell 1 and cell 2 in the bench file (or the EMF of a reference cell).',
  'marks-alike': () => 'Two points have the same mark: take one of them away.',
  'counts-astray': () => 'The counts do not follow the marks: hold the jockey at each mark again.',

  'bench-bad-name': ({ file }: { file: string }) => `${file} is no name of a bench file.`,
  'bench-name-rule': () =>
    'The name of a bench file is letters, digits, points and dashes, and ends in .json.',
  'bench-faulty': ({ file, faults }: { file: string; faults: string }) => `${file} can't be used: ${faults}`,
  'bench-unread': ({ file, message }: { file: string; message: string }) =>
    `${file} can't be read: ${message}`,
  'bench-unsaved': ({ file, message }: { file: string; message: string }) =>
    `${file} could not be saved: ${message}. The old bench stands.`,

  'whole-file': () => '(the whole file)',
  'field-missing': () => 'missing',
  'field-expected': ({ expected, found }: { expected: string; found: string }) =>
    `${expected} (found ${found})`,
  'field-fault': ({ path, expected }: { path: string; expected: string }) => `${path}: ${expected}`,
  'field-faults': ({ faults }: { faults: readonly string[] }) => faults.join('\n'),
  'must-be-fields': () => 'a group of fields in braces',
  'must-be-text': () => 'a text',
  'must-be-number': () => 'a number',
  'must-be-finite': () => 'a finite number',
  'must-be-positive': () => 'a number above 0',
  'must-not-be-negative': () => 'a number not below 0',
  'must-be-share': () => 'a share of 1 (0.002 for 0.2 %)',
  'must-not-be-0': () => 'a number other than 0',
  'must-be-whole': ({ least, most }: { least: number; most: number }) =>
    `a whole number from ${least} to ${most}`,
  'must-be-either': ({ one, other }: { one: string; other: string }) => `${one} or ${other}`,
  'must-be-points': () => 'a list of points {counts, scaleCm}',
  'must-be-two-points': () => 'two points or more',
  'must-go-one-way': () => 'points whose scale readings only rise or only fall with the counts',

  'bench-too-big': () =>
    'what is known of the bench is too long for a recording (256 kB at most, 64 levels of brackets)',
  'no-recording-named': () => 'There is no recording of that name.',
  'drop-failed': ({ name, message }: { name: string; message: string }) =>
    `${name} could not be taken in: ${message}`,
  'file-not-found': ({ name }: { name: string }) => `there is no file ${name}`,
  'file-is-folder': ({ name }: { name: string }) => `${name} is a folder, not a recording`,
  'file-unread': ({ name, message }: { name: string; message: string }) =>
    `${name} could not be read: ${message}`,
  'recording-version': ({ name, version }: { name: string; version: string }) =>
    `${name} is a recording of version ${version}; this program reads version 1`,
  'recording-empty': ({ name, header }: { name: string; header: string }) =>
    `${name} is not a recording: its first line should be "${header}", but it is empty`,
  'recording-other': ({ name, header, begin }: { name: string; header: string; begin: string }) =>
    `${name} is not a recording: its first line should be "${header}", but it begins with ${begin}`,
  'recording-exists': ({ path }: { path: string }) =>
    `${path} is already there and is not overwritten: choose another name`,
  'recording-in-use': ({ path }: { path: string }) =>
    `${path} is being written by a run that goes on: end that one first`,
  'recording-no-folder': ({ path }: { path: string }) => `${path} can't be created: its folder is not there`,
  'recording-uncreated': ({ path, message }: { path: string; message: string }) =>
    `${path} can't be created: ${message}`,
  'recording-unappended': ({ path, message }: { path: string; message: string }) =>
    `${path} can't be gone on in: ${message}`,
  'recording-no-room': ({ path }: { path: string }) =>
    `${path} can't be begun or gone on in: the disk is full. Make room on it, then start again`,
  'folder-unmade': ({ folder, message }: { folder: string; message: string }) =>
    `${folder} can't be made: ${message}`,

  'recording-moved': ({ path }: { path: string }) =>
    `the recording ${path} has been moved or renamed; what comes is still written to it, where it is now`,
  'recording-removed': ({ path }: { path: string }) =>
    `the recording ${path} has been removed, or its folder has; it is kept open and written anew once its folder is there again`,
  'recording-unseen': ({ path, message }: { path: string; message: string }) =>
    `the recording ${path} can't be looked at in its folder any more (${message}); what comes is still written to it. See to the folder before the program ends`,
  'recording-cut': ({ path }: { path: string }) =>
    `another program has cut the recording ${path} short: what stood behind the cut is lost`,
  'recording-went-on': ({ cutPath, path }: { cutPath: string; path: string }) =>
    `another program has cut the recording ${cutPath} short: it is left as it is, and the run goes on in ${path}, with the bench and what was last said, without what was measured before`,
  'goes-on-from': ({ file }: { file: string }) =>
    `This recording goes on from ${file}, which another program cut short during the run; what was measured before is not in it.`,
  'disk-full': ({ path }: { path: string }) =>
    `the recording can't be written (the disk is full): ${path}. Lines are kept in memory and written once that is possible; make room on the disk before the program ends`,
  'write-failed': ({ path, message }: { path: string; message: string }) =>
    `the recording can't be written (${message}): ${path}. Lines are kept in memory and written once that is possible; see to the disk before the program ends`,
  'recording-cut-short': ({ path, bytes }: { path: string; bytes: number }) =>
    `${path} lacks its last ${bytes} bytes: they could not be written before the program ended`,
  'recording-given-up': ({ path }: { path: string }) =>
    `the recording could not be written for too long: ${path} ends where the disk refused. Start a new recording`,
};
