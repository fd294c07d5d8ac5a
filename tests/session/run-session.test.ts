import { mkdirSync, readdirSync, readFileSync, rmSync, truncateSync, writeFileSync } from 'node:fs';
import { dirname } from 'node:path';
import { afterEach, describe, expect, it } from 'vitest';
import { message } from '../../bridge/messages/catalogue.ts';
import { openRecording } from '../../bridge/recording/read.ts';
import type { RecordLine } from '../../bridge/recording/record.ts';
import type { RunEvent } from '../../bridge/run/events.ts';
import type { LineSource } from '../../bridge/serial/line-source.ts';
import { openSession, type SessionPlan } from '../../bridge/session/open-session.ts';
import { PacedSource } from '../../bridge/session/paced-source.ts';
import type { RunSession } from '../../bridge/session/run-session.ts';
import { DEFAULT_SCENE, INVENTED_BENCH } from '../../bridge/simulate/default-scene.ts';
import { simulateRun } from '../../bridge/simulate/simulate-run.ts';
import { CAN_FILL, onFullDisk } from '../bench-setup/full-disk.ts';
import { until } from '../until.ts';
import { asJson, HandSource, sessionStand } from './stand.ts';

const stand = sessionStand();
const sessions: RunSession[] = [];
afterEach(async () => {
  for (const session of sessions.splice(0)) await session.close();
});

async function open(
  source: LineSource,
  path: string,
  more: Partial<Pick<SessionPlan, 'id' | 'begin' | 'opening'>> = {},
): Promise<RunSession> {
  const opened = await openSession({
    id: more.id === undefined ? 's' : more.id,
    title: 'a bench',
    kind: 'live',
    source,
    path,
    begin: more.begin ?? 'create',
    opening: more.opening ?? [],
    makeRun: stand.makeRun,
  });
  if (!opened.ok) throw new Error(opened.text);
  sessions.push(opened.session);
  return opened.session;
}

function recordsOf(path: string): (RecordLine | 'unreadable')[] {
  const opened = openRecording(path);
  if (!opened.ok) throw new Error(opened.fault.text);
  const records = [...opened.reader.records];
  opened.reader.close();
  return records;
}

const eventsOf = (path: string): unknown[] =>
  recordsOf(path).flatMap((record) =>
    record !== 'unreadable' && record.mark === '!' ? [JSON.parse(record.payload)] : [],
  );

/** What the recording folds to so far: nobody has said that it ends here. */
async function viewOf(path: string): Promise<unknown> {
  const records = recordsOf(path);
  const fold = stand.makeRun(
    records.filter((record) => record !== 'unreadable' && record.mark === '!') as RecordLine[],
  );
  for (const record of records) fold.addRecord(record);
  return asJson(fold.view());
}

const BENCH: RunEvent = { kind: 'bench', bench: INVENTED_BENCH };
const board = [...simulateRun(DEFAULT_SCENE)]
  .filter((record) => record.mark === '<')
  .map((record) => record.payload);

describe('a run', () => {
  it('shows what its recording folds to, line by line', async () => {
    const path = stand.path('a.rec');
    const source = new HandSource();
    const session = await open(source, path, { opening: [BENCH] });
    for (let from = 0; from < 6000; from += 750) {
      source.listener?.lines(board.slice(from, from + 750));
      expect(asJson(session.view())).toEqual(await viewOf(path));
    }
    expect(session.view().stream.samples).toBeGreaterThan(5900);
  });

  it('is, from a simulated bench, the simulation itself in the file', async () => {
    const path = stand.path('a.rec');
    const source = new PacedSource('simulated', simulateRun(DEFAULT_SCENE), Number.POSITIVE_INFINITY);
    const session = await open(source, path);
    await new Promise<void>((done) => session.onEnded(done));
    expect(recordsOf(path)).toEqual([...simulateRun(DEFAULT_SCENE)]);
    expect(asJson(session.view())).toEqual(await viewOf(path));
    expect(session.view().work.outcome?.result).not.toBeNull();
  });

  const words = (text: string) => message('as-it-came', { words: text });

  it('records what it says of itself, the link, lines both ways and the operator, in order', async () => {
    const path = stand.path('a.rec');
    const source = new HandSource();
    const session = await open(source, path, { opening: [BENCH, { kind: 'about', by: ['A'] }] });
    source.listener?.link({ up: null, port: 'p', ...words('open') });
    source.listener?.sent('?*264C');
    source.listener?.link({ up: true, port: 'p', ...words('up') });
    source.listener?.link({ up: true, port: 'p', ...words('other words') });
    source.listener?.lines(['\xff\\']);
    session.recordEvent({ kind: 'note', text: 'line\nfeed' });
    source.listener?.link({ up: false, port: 'p', ...words('down') });
    const kinds = recordsOf(path).map((record) => (record === 'unreadable' ? record : record.mark));
    expect(kinds).toEqual(['!', '!', '>', '!', '<', '!', '!']);
    expect(eventsOf(path).slice(2)).toEqual([
      { kind: 'link', up: true },
      { kind: 'note', text: 'line\nfeed' },
      { kind: 'link', up: false },
    ]);
    expect(session.view().linkUp).toBe(false);
    expect(session.link().text).toBe('down');
    const times = recordsOf(path).map((record) => (record === 'unreadable' ? 0 : record.ms));
    expect(times).toEqual([...times].sort((a, b) => a - b));
  });

  it('informs listeners of readings and changes, until they stop listening', async () => {
    const source = new HandSource();
    const session = await open(source, stand.path('a.rec'), { opening: [BENCH] });
    let readings = 0;
    let changes = 0;
    const stops = [
      session.onReading(() => {
        readings += 1;
      }),
      session.onChange(() => {
        changes += 1;
      }),
    ];
    source.listener?.lines(board.slice(0, 1000));
    expect(readings).toBe(session.view().stream.samples);
    expect(changes).toBeGreaterThan(0);
    for (const stop of stops) stop();
    const before = readings;
    source.listener?.lines(board.slice(1000, 1100));
    expect(readings).toBe(before);
  });

  it('refuses to take a bench file back, or to give one back, and says what to do', async () => {
    const path = stand.path('a.rec');
    const source = new HandSource();
    const session = await open(source, path, { opening: [BENCH, { kind: 'note', text: 'a word' }] });
    source.listener?.lines(board.slice(0, 2000));
    const before = asJson(session.view());
    expect(session.recordEvent({ kind: 'undo', event: 1 })).toMatchObject({
      ok: false,
      descriptor: { key: 'bench-not-taken-back' },
    });
    expect(asJson(session.view())).toEqual(before);
    expect(session.recordEvent({ kind: 'undo', event: 2 })).toEqual({ ok: true });
    expect(session.recordEvent({ kind: 'undo', event: 3 })).toEqual({ ok: true });
    expect(session.view().events.map(({ undone }) => undone)).toEqual([false, false, true, false]);
  });

  it('goes on by a second bench file from the moment it is entered', async () => {
    const path = stand.path('a.rec');
    const source = new HandSource();
    const session = await open(source, path, { opening: [BENCH] });
    source.listener?.lines(board.slice(0, 4000));
    const turned = { ...INVENTED_BENCH, wire: { ...INVENTED_BENCH.wire, zeroEnd: 'right' as const } };
    session.recordEvent({ kind: 'bench', bench: turned });
    source.listener?.lines(board.slice(4000, 8000));
    expect(session.view().bench?.wire.zeroEnd).toBe('right');
    expect(asJson(session.view())).toEqual(await viewOf(path));
  });

  it('answers an operator who names what there is not', async () => {
    const opening: RunEvent[] = [BENCH, { kind: 'note', text: 'a word' }];
    const session = await open(new HandSource(), stand.path('a.rec'), { opening });
    expect(session.recordEvent({ kind: 'reject', null: 'n7' })).toMatchObject({ ok: false });
    expect(session.recordEvent({ kind: 'undo', event: 9 })).toMatchObject({ ok: false });
    expect(session.recordEvent({ kind: 'undo', event: 2 })).toMatchObject({ ok: true });
    expect(session.recordEvent({ kind: 'undo', event: 2 })).toMatchObject({ ok: false });
    expect(eventsOf(stand.path('a.rec'))).toHaveLength(3);
  });
});

describe('a recording that can not be written', () => {
  it('is told at once, and the run goes on; all of it is there once its folder is', async () => {
    const path = stand.path('folder/a.rec');
    mkdirSync(stand.path('folder'));
    const source = new HandSource();
    const session = await open(source, path, { opening: [BENCH] });
    source.listener?.lines(board.slice(0, 1000));
    let changes = 0;
    session.onChange(() => {
      changes += 1;
    });
    rmSync(stand.path('folder'), { recursive: true });
    await until(() => session.recording().trouble !== null, 'word of it');
    expect(changes).toBe(1);
    source.listener?.lines(board.slice(1000, 3000));
    expect(session.view().stream.samples).toBeGreaterThan(2900);
    mkdirSync(stand.path('folder'));
    await until(() => session.recording().trouble === null, 'all is well again');
    source.listener?.lines(board.slice(3000, 3500));
    expect(asJson(session.view())).toEqual(await viewOf(path));
  });
});

describe('a recording that another program cuts short', () => {
  it('goes on in a new file that begins with the bench and the events in force, and shows what that file holds', async () => {
    const path = stand.path('a.rec');
    const source = new HandSource();
    const events: RunEvent[] = [
      { kind: 'about', by: ['A'] },
      { kind: 'set', set: 2 },
    ];
    const session = await open(source, path, { opening: [BENCH, ...events] });
    session.recordEvent({ kind: 'cell', cell: 1 });
    session.recordEvent({ kind: 'cell', cell: 2 });
    session.recordEvent({ kind: 'undo', event: 5 });
    source.listener?.lines(board.slice(0, 4000));
    truncateSync(path, 1000);
    const cut = readFileSync(path);
    source.listener?.lines(board.slice(4000, 8000));
    const beside = stand.path('a-2.rec');
    expect(session.recordingPath()).toBe(beside);
    expect(session.recording().trouble?.text).toContain('short');
    await until(() => session.view().stream.samples < 4500, 'it is folded anew');
    expect(asJson(session.view())).toEqual(await viewOf(beside));
    source.listener?.lines(board.slice(8000, 9000));
    expect(asJson(session.view())).toEqual(await viewOf(beside));
    expect(readFileSync(path)).toEqual(cut);
    const note = { kind: 'note', text: expect.stringContaining('goes on from a.rec') };
    expect(eventsOf(beside)).toEqual([BENCH, ...events, { kind: 'cell', cell: 1 }, note]);
    const times = recordsOf(beside).map((record) => (record === 'unreadable' ? 0 : record.ms));
    expect(times).toEqual([...times].sort((a, b) => a - b));
  });
});

describe('a run taken up again', () => {
  const resumed: RunEvent = { kind: 'resumed', utc: '2026-03-02T11:00:00Z' };

  async function first(path: string, tail = ''): Promise<string> {
    const source = new HandSource();
    const session = await open(source, path, { opening: [BENCH] });
    source.listener?.lines(board.slice(0, 3000));
    await session.close();
    const text = readFileSync(path, 'latin1') + tail;
    writeFileSync(path, text, 'latin1');
    return text;
  }

  it.each(['', '99999.5 < S,17,850', '99999.5 ! {"kind":"no'])(
    'goes on where it ended, with %j torn off',
    async (tail) => {
      const path = stand.path('a.rec');
      const before = await first(path, tail);
      const source = new HandSource();
      const session = await open(source, path, { begin: 'resume', opening: [resumed] });
      expect(session.view().bench?.name).toBe(INVENTED_BENCH.name);
      source.listener?.lines(board.slice(3000, 6000));
      expect(asJson(session.view())).toEqual(await viewOf(path));
      expect(readFileSync(path, 'latin1').startsWith(tail === '' ? before : `${before}\n`)).toBe(true);
      expect(session.view().events.map((event) => event.event?.kind ?? null)).toContain('resumed');
      const times = recordsOf(path).flatMap((record) => (record === 'unreadable' ? [] : [record.ms]));
      expect(times).toEqual([...times].sort((a, b) => a - b));
    },
  );

  it('leaves out a bench file that the recording takes back', async () => {
    const path = stand.path('a.rec');
    await first(path);
    const another = { ...INVENTED_BENCH, name: 'another', wire: { ...INVENTED_BENCH.wire, rows: 5 } };
    const [bench, undo] = [
      { kind: 'bench', bench: another },
      { kind: 'undo', event: 2 },
    ].map((event) => `99999.5 ! ${JSON.stringify(event)}\n`);
    const lines = board.slice(3000, 6000).map((line) => `99999.5 < ${line}\n`);
    writeFileSync(path, readFileSync(path, 'latin1') + bench + lines.join('') + undo, 'latin1');
    const session = await open(new HandSource(), path, { begin: 'resume', opening: [resumed] });
    expect(session.view().bench).toMatchObject({ name: INVENTED_BENCH.name, wire: { rows: 10 } });
    expect(session.view().events[1]).toMatchObject({ undone: true });
    expect(asJson(session.view())).toEqual(await viewOf(path));
  });

  it('leaves the recording as it was where the source does not start', async () => {
    const path = stand.path('a.rec');
    const before = await first(path);
    const fault = { code: 'port-not-found', ...message('port-not-found', { path: 'x' }) } as const;
    const source: LineSource = Object.assign(new HandSource(), { start: async () => fault });
    await expect(open(source, path, { begin: 'resume', opening: [resumed] })).rejects.toThrow();
    expect(readFileSync(path, 'latin1')).toBe(before);
  });

  it('does not touch a file that is no recording', async () => {
    writeFileSync(stand.path('a.rec'), 'a letter');
    await expect(open(new HandSource(), stand.path('a.rec'), { begin: 'resume' })).rejects.toThrow(
      'not a recording',
    );
    expect(readFileSync(stand.path('a.rec'), 'utf8')).toBe('a letter');
  });
});

describe('a run that can not begin', () => {
  it('leaves no empty recording behind', async () => {
    const source = new HandSource();
    source.start = async () => ({ code: 'port-busy', text: 'in use' }) as never;
    await expect(open(source, stand.path('a.rec'), { opening: [BENCH] })).rejects.toThrow('in use');
    expect(() => readFileSync(stand.path('a.rec'))).toThrow('ENOENT');
    expect(source.closed).toBe(1);
  });

  it.runIf(CAN_FILL)('says why where the disk has no room, and leaves nothing behind', async () => {
    const opening = { opening: [BENCH] };
    await onFullDisk(0, () =>
      expect(open(new HandSource(), stand.path('a.rec'), opening)).rejects.toThrow("a.rec can't be created"),
    );
    expect(readdirSync(dirname(stand.path('a.rec')))).toEqual([]);
    await open(new HandSource(), stand.path('a.rec'), opening);
  });

  it('has a recording and a name of its own where several begin at benches of one name in one second', async () => {
    const path = stand.path('bench-4.rec');
    const begun = await Promise.all(
      Array.from({ length: 16 }, () => open(new HandSource(), path, { id: null, begin: 'create-beside' })),
    );
    expect(new Set(begun.map((session) => session.recordingPath())).size).toBe(16);
    expect(new Set(begun.map((session) => session.summary.id)).size).toBe(16);
    expect(begun[1].summary.id).toBe('bench-4-2');
  });

  it('overwrites nothing', async () => {
    writeFileSync(stand.path('a.rec'), 'precious');
    await expect(open(new HandSource(), stand.path('a.rec'))).rejects.toThrow('not overwritten');
    expect(readFileSync(stand.path('a.rec'), 'utf8')).toBe('precious');
  });
});
