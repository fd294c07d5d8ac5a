import { describe, expect, test } from 'vitest';
import type { BoardLog, Question } from '../../bridge/check-board/log.ts';
import { checkBoard } from '../../bridge/check-board/report.ts';
import { reportLines } from '../../bridge/check-board/report-text.ts';
import { questions } from '../../bridge/check-board/script.ts';
import { decodeLine } from '../../firmware-protocol/decode.ts';
import {
  encodeAccepted,
  encodeBoardEvent,
  encodeChannel,
  encodeHello,
  encodeRefused,
  encodeSample,
} from '../../firmware-protocol/encode.ts';
import type { SampleFrame } from '../../firmware-protocol/frames.ts';

/** A board as a test describes it; each test breaks one thing. */
interface Script {
  hello: Parameters<typeof encodeHello>[0];
  channels: Parameters<typeof encodeChannel>[0][];
  helloEveryS: number;
  seconds: number;
  sample(index: number): Omit<SampleFrame, 'type'> | string | null;
  answers(question: Question): string[];
}

const RATE_HZ = 200;

const SOUND: Script = {
  hello: { board: 'bench-4', firmware: 'test-1', rateHz: RATE_HZ, senses: 0x1f },
  channels: [
    { index: 0, channel: 'gal', minCount: 0, maxCount: 4092 },
    { index: 1, channel: 'pos', minCount: 0, maxCount: 4092 },
    { index: 2, channel: 'drv', minCount: 0, maxCount: 4092 },
  ],
  helloEveryS: 10,
  seconds: 25,
  sample: (index) => ({
    seq: (65_000 + index) % 65_536,
    tUs: (4_293_000_000 + index * 5000) % 2 ** 32,
    gal: 2000 + (index % 7),
    pos: 1000 + (index % 5),
    drv: 1200 + (index % 3),
    row: 1 + (index % 2),
    flags: index % 2 === 0 ? 0x0b : 0x14,
  }),
  answers: ({ expects }) =>
    expects === 'accepted'
      ? [encodeAccepted('R,200')]
      : expects === 'refused'
        ? [encodeRefused('R', 'no')]
        : ['hello'],
};

function logOf(patch: Partial<Script>): BoardLog {
  const script = { ...SOUND, ...patch };
  const identity = [encodeHello(script.hello), ...script.channels.map(encodeChannel)];
  const lines: { atMs: number; line: string }[] = [];
  const atTime = (atMs: number, texts: string[]) => {
    for (const line of texts.flatMap((text) => (text === 'hello' ? identity : [text])))
      lines.push({ atMs, line });
  };
  for (let atS = 0; atS < script.seconds; atS += script.helloEveryS) atTime(atS * 1000, ['hello']);
  for (let index = 0; index < script.seconds * RATE_HZ; index += 1) {
    const sample = script.sample(index);
    if (sample !== null) atTime(index * 5 + 5, [typeof sample === 'string' ? sample : encodeSample(sample)]);
  }
  const asked = questions(RATE_HZ).map((question, index) => ({ atMs: 3000 + 1000 * index, question }));
  for (const { atMs, question } of asked) atTime(atMs + 12, script.answers(question));
  const heard = lines
    .sort((a, b) => a.atMs - b.atMs)
    .map(({ atMs, line }) => ({ atMs, line, frame: decodeLine(line) }));
  return { heard, asked, endMs: script.seconds * 1000 };
}

const codes = (patch: Partial<Script>): string[] => checkBoard(logOf(patch)).findings.map(({ code }) => code);

test('a sound board: no finding, its figures right, across a wrap of seq and of tUs', () => {
  const report = checkBoard(logOf({}));
  expect(report.findings).toEqual([]);
  expect(report.keepsFormat).toBe(true);
  expect(report.stream).toMatchObject({ samples: 5000, lost: 0, boots: 0, stuck: 0 });
  expect(report.stream!.rateHz).toBeCloseTo(200, 9);
  expect(report.stream!.jitterUs).toBeCloseTo(0, 6);
  expect(report.stream!.clockError).toBeCloseTo(0, 9);
  expect(report.answers.every(({ answered, afterMs }) => answered && afterMs === 12)).toBe(true);
  expect(reportLines(report).at(-1)).toBe('The board keeps to wire format 1.');
});

const changed = (change: (frame: Omit<SampleFrame, 'type'>, index: number) => Partial<SampleFrame>) => ({
  sample: (index: number) => {
    const frame = SOUND.sample(index) as Omit<SampleFrame, 'type'>;
    return { ...frame, ...change(frame, index) };
  },
});

const reboot = (at: number): Partial<Script> =>
  changed((_, index) =>
    index < at ? { seq: index, tUs: index * 5000 } : { seq: index - at, tUs: (index - at) * 5000 },
  );

describe('each fault is found, and nothing else', () => {
  const cases: [string, Partial<Script>, string[]][] = [
    [
      'a line damaged on the way',
      { sample: (i) => (i === 99 ? 'S,1,2*0000' : SOUND.sample(i)) },
      ['damaged-lines', 'lost-samples'],
    ],
    ['lost samples', { sample: (i) => (i % 100 === 50 ? null : SOUND.sample(i)) }, ['lost-samples']],
    ['seq that stands still', changed(() => ({ seq: 5 })), ['no-samples']],
    [
      'tUs that stands still once',
      changed((f, i) => (i === 700 ? { tUs: f.tUs - 5000 } : {})),
      ['stuck', 'jitter'],
    ],
    ['another rate than stated', { hello: { ...SOUND.hello, rateHz: 190 } }, ['rate']],
    [
      'a clock in 4 ms ticks told as if they were 5',
      changed((_, i) => ({ tUs: i * 4000 })),
      ['rate', 'clock'],
    ],
    ['jitter', changed((f, i) => ({ tUs: (f.tUs + (i % 9 === 0 ? 900 : 0)) % 2 ** 32 })), ['jitter']],
    ['H too rarely', { helloEveryS: 60, seconds: 40 }, ['hello-rare']],
    [
      'no gal channel',
      { channels: SOUND.channels.slice(1).map((c, index) => ({ ...c, index })) },
      ['no-gal', 'field-unstated'],
    ],
    [
      'counts beyond the span',
      changed((_, i) => ({ gal: i % 9 === 0 ? 4093 : 2000 + (i % 3) })),
      ['beyond-span'],
    ],
    [
      'counts of a channel without a C line',
      { channels: SOUND.channels.slice(0, 2) },
      ['field-unstated', 'no-drv'],
    ],
    ['a channel that stays empty', changed(() => ({ pos: null })), ['field-empty']],
    ['a channel that never moves', changed(() => ({ drv: 1200 })), ['standing-still']],
    ['flags that are not wired', { hello: { ...SOUND.hello, senses: 0x0f } }, ['sense-unstated']],
    ['a sense that never moves', changed((f) => ({ flags: f.flags | 1 })), ['sense-still']],
    ['both cells', changed((f) => ({ flags: f.flags | 6 })), ['both-cells']],
    ['no answers', { answers: () => [] }, questions(RATE_HZ).map(() => 'no-answer')],
    [
      'H without C lines in answer to ?',
      { answers: (q) => (q.expects.startsWith('hello') ? [encodeHello(SOUND.hello)] : SOUND.answers(q)) },
      ['answer-incomplete'],
    ],
    ['no name', { hello: { ...SOUND.hello, board: 'unnamed' } }, ['unnamed']],
    [
      'channels numbered from 1',
      { channels: SOUND.channels.map((c) => ({ ...c, index: c.index + 1 })) },
      ['channel-index'],
    ],
  ];
  test.each(cases)('%s', (_, patch, wanted) => {
    const found = codes(patch);
    for (const code of wanted) expect(found).toContain(code);
    const answers = wanted.includes('answer-incomplete') ? [] : wanted;
    if (answers.length > 0) expect([...new Set(found)].filter((code) => !wanted.includes(code))).toEqual([]);
  });

  test('answers that take their time', () => {
    const log = logOf({});
    const late = log.asked.map((asked) => ({ ...asked, atMs: asked.atMs - 1200 }));
    const codes = checkBoard({ ...log, asked: late.slice(-1) }).findings.map(({ code }) => code);
    expect(codes).toEqual(['slow-answer']);
  });

  test('a boot in the middle', () => {
    const found = codes(reboot(2000));
    expect(found).toContain('boots');
    expect(checkBoard(logOf(reboot(2000))).stream).toMatchObject({ boots: 1, lost: 0, stuck: 0 });
  });

  test('overruns that the board counted itself', () => {
    const sample = (i: number) =>
      i === 1000
        ? null
        : i === 1001
          ? encodeBoardEvent({ tUs: 5, name: 'overrun', argument: '2' })
          : SOUND.sample(i);
    const finding = checkBoard(logOf({ sample })).findings.find(({ code }) => code === 'lost-samples');
    expect(finding?.text).toContain('the board reports 2 that it could not send');
  });

  test('sampling at the mains frequency', () => {
    const log = logOf({
      ...changed((_, i) => ({ seq: i, tUs: i * 20_000 })),
      hello: { ...SOUND.hello, rateHz: 50 },
    });
    expect(checkBoard(log).findings.map(({ code }) => code)).toContain('hum');
  });
});

test('a clock that loses is slow, without a sign before the figure', () => {
  const report = checkBoard(logOf(changed((_, i) => ({ tUs: i * 3000 }))));
  const lines = reportLines(report).join('\n');
  expect(lines).toMatch(/ (39|40)\.\d\d % slow against this computer's/);
  expect(lines).not.toMatch(/[-−]\d+\.\d+ %/);
});

test('nothing at all, and nothing readable', () => {
  const silent: BoardLog = { heard: [], asked: [], endMs: 5000 };
  const unheard = checkBoard(silent);
  expect(unheard.findings.map(({ code }) => code)).toEqual(['silent']);
  expect(reportLines(unheard).at(-1)).toMatch(/^Nothing was heard: /);
  const heard = Array.from({ length: 50 }, (_, i) => ({
    atMs: i * 10,
    line: 'x\xfe',
    frame: decodeLine('x\xfe'),
  }));
  const garbled = checkBoard({ heard, asked: [], endMs: 5000 });
  expect(garbled.findings[0].code).toBe('damaged-lines');
  expect(garbled.findings.map(({ code }) => code)).toContain('nothing-readable');
  expect(garbled.keepsFormat).toBe(false);
  expect(reportLines(garbled).at(-1)).toContain('breaks wire format 1');
});
