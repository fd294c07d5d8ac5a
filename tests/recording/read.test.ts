import { Buffer } from 'node:buffer';
import { mkdirSync, writeFileSync } from 'node:fs';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { openRecording } from '../../bridge/recording/read.ts';
import type { RecordLine } from '../../bridge/recording/record.ts';
import { formatRecord, RECORDING_HEADER } from '../../bridge/recording/record.ts';
import { splitRecords } from '../../bridge/recording/split.ts';
import { temporaryFiles } from './temporary.ts';

const file = temporaryFiles();

function read(path: string) {
  const opened = openRecording(path);
  if (!opened.ok) throw new Error(opened.fault.text);
  const records = [...opened.reader.records];
  opened.reader.close();
  return { records, torn: opened.reader.progress.torn };
}

function readText(text: string | Buffer) {
  writeFileSync(file('a.rec'), text);
  return read(file('a.rec'));
}

/** Splits bytes that are handed over in pieces of at most `size`. */
function splitInPieces(bytes: Buffer, size: number) {
  const progress = { bytes: 0, torn: false };
  const readAt = (buffer: Buffer, position: number) =>
    bytes.copy(buffer, 0, position, Math.min(bytes.length, position + size));
  return { records: [...splitRecords(readAt, progress)], torn: progress.torn };
}

const SAMPLE = [
  RECORDING_HEADER,
  '0 ! {"kind":"note","text":"Größe 5 µA, 電位差計"}',
  '# a comment, as formats.md allows',
  '1.25 < S,1,2,3*0000',
  '',
  'no record at all',
  '2 < \\x00\\xFF\\\\ end',
  '3.5 > ?*264C',
  '',
].join('\n');

describe('reading a recording', () => {
  it('gives its records in order, skips comments, and says which lines are none', () => {
    expect(readText(SAMPLE)).toEqual({
      records: [
        { ms: 0, mark: '!', payload: '{"kind":"note","text":"Größe 5 µA, 電位差計"}' },
        { ms: 1.25, mark: '<', payload: 'S,1,2,3*0000' },
        'unreadable',
        { ms: 2, mark: '<', payload: '\x00\xff\\ end' },
        { ms: 3.5, mark: '>', payload: '?*264C' },
      ],
      torn: false,
    });
  });

  it('gives the same however the bytes are cut into chunks, even within a UTF-8 character', () => {
    const whole = readText(SAMPLE);
    for (let size = 1; size < 60; size += 1) expect(splitInPieces(Buffer.from(SAMPLE), size)).toEqual(whole);
  });

  it('leaves a torn last line out wherever the file is cut, and says so', () => {
    const bytes = Buffer.from(SAMPLE);
    const { records } = readText(SAMPLE);
    for (let cut = RECORDING_HEADER.length + 1; cut < bytes.length; cut += 1) {
      const part = readText(bytes.subarray(0, cut));
      const kept = records.slice(0, part.records.length);
      expect(part.records).toEqual(kept);
      expect(part.torn).toBe(bytes[cut - 1] !== 0x0a);
    }
  });

  it('reads a file whose line ends were converted', () => {
    expect(readText(SAMPLE.replaceAll('\n', '\r\n'))).toEqual(readText(SAMPLE));
  });

  it('counts an endless line as one unreadable one and reads on', () => {
    const { records } = readText(`${RECORDING_HEADER}\n${'x'.repeat(5 << 20)}\n4 < ok\n`);
    expect(records).toEqual(['unreadable', { ms: 4, mark: '<', payload: 'ok' }]);
  });

  it('takes for a time only digits with up to three decimals, in a range that it can write again', () => {
    const none = ['.', '1.', '.5', '1.2.3', '1.2345', '-1', '1e3', '9'.repeat(400), '9'.repeat(17)];
    const text = none.map((ms) => `${ms} < junk\n`).join('');
    expect(readText(`${RECORDING_HEADER}\n${text}`).records).toEqual(none.map(() => 'unreadable'));
    expect(readText(`${RECORDING_HEADER}\n0012.125 < S\n`).records).toEqual([
      { ms: 12.125, mark: '<', payload: 'S' },
    ]);
  });

  it('reads back whatever was written', () => {
    const record = fc.record({
      ms: fc.integer({ min: 0, max: 1e12 }).map((us) => us / 1000),
      mark: fc.constantFrom<RecordLine['mark']>('<', '>'),
      payload: fc.string({ unit: fc.integer({ min: 0, max: 255 }).map((code) => String.fromCharCode(code)) }),
    });
    fc.assert(
      fc.property(fc.array(record), fc.integer({ min: 1, max: 50 }), (records, size) => {
        const bytes = Buffer.from(records.map((one) => `${formatRecord(one)}\n`).join(''), 'utf8');
        expect(splitInPieces(bytes, size)).toEqual({ records, torn: false });
      }),
    );
  });
});

describe('a file that is no recording', () => {
  it.each([
    ['', 'not-a-recording', 'it is empty'],
    ['name,value\n1,2\n', 'not-a-recording', 'it begins with "name,value"'],
    ['#tenwire-recording 2\n', 'version-unknown', 'version 2'],
    [Buffer.from([0x1f, 0x8b, 8, 0]), 'not-a-recording', 'it begins with'],
  ])('%j', (content, code, words) => {
    writeFileSync(file('b.rec'), content);
    const opened = openRecording(file('b.rec'));
    expect(opened.ok ? null : opened.fault.code).toBe(code);
    expect(opened.ok ? '' : opened.fault.text).toContain(words);
  });

  it('is not there, or is a folder', () => {
    expect(openRecording(file('none.rec'))).toMatchObject({ ok: false, fault: { code: 'not-found' } });
    mkdirSync(file('folder'));
    expect(openRecording(file('folder'))).toMatchObject({ ok: false, fault: { code: 'not-a-recording' } });
  });
});
