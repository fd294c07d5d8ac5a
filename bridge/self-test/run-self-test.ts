import { setTimeout as sleep } from 'node:timers/promises';
import { sealPayload } from '../../firmware-protocol/encode.ts';
import type { SampleFrame } from '../../firmware-protocol/frames.ts';
import { message } from '../messages/catalogue.ts';
import type { SourceFault } from '../serial/line-source.ts';
import { openPort } from '../serial/port-link.ts';
import { BoardEar } from './board-ear.ts';
import { judge, type RestStep, type SelfTestCheck } from './judge.ts';
import { fallTimesS, type Reading, readingOf, slideOf } from './readings.ts';
import { type SwitchStep, switchSteps } from './switches.ts';

/** Leads through the self-test at a port: says what to clip where, measures, and hands what it saw to `judge`. */

export interface Operator {
  /** One instruction, without an answer. */
  tell(line: string): void;
  /** Resolves once the operator says that it is done; `signal` ends the waiting. Rejects where nobody can answer any more. */
  done(signal?: AbortSignal): Promise<void>;
}

export interface SelfTestOptions {
  path: string;
  baudRate: number;
  rows: number;
}

export interface SelfTestReport {
  format: 'tenwire-self-test/1';
  board: { name: string; firmware: string };
  passed: boolean;
  checks: SelfTestCheck[];
  /** Switches that the board does not sense, and channels that it does not have: not looked at. */
  leftOut: string[];
}

export type SelfTest =
  | { ok: true; report: SelfTestReport }
  | { ok: false; fault: SourceFault | { text: string } };

/** A board that is reset by opening its port has then begun to sample. */
const SETTLE_MS = 2_500;
const HELLO_MS = 12_000;
/** After a clip was moved, before counts are taken for steady, and for how long they are taken. */
const REST_MS = 300;
const MEASURE_MS = 2_000;
const CUTS = 5;
const CUTS_MS = 60_000;
const SLIDE_MS = 60_000;
const SWITCH_MS = 20_000;

const REST_STEPS: readonly { step: RestStep; ask: string }[] = [
  {
    step: 'bare',
    ask: 'take everything off the terminals A, P and driver: no cell, no wire, no driver; lift the jockey',
  },
  { step: 'plus', ask: 'clip R34 (49.9 kΩ) between + supply and P' },
  { step: 'minus', ask: 'move the clip from + supply to ground: R34 between ground and P' },
  {
    step: 'over',
    ask: 'take R34 off; clip R35 (100 Ω) between + supply and P, and R36 (100 Ω) between A and ground',
  },
  {
    step: 'driver',
    ask: 'move R35 from P to the driver terminal; R36 stays',
  },
];

export async function runSelfTest(options: SelfTestOptions, operator: Operator): Promise<SelfTest> {
  const ear = new BoardEar();
  const opening = await openPort(options.path, options.baudRate, ear);
  if (!opening.ok) return opening;
  try {
    await sleep(SETTLE_MS);
    opening.link.write(sealPayload('?'));
    await ear.listen(HELLO_MS, () => ear.hello !== null && ear.spans.gal !== undefined);
    return await testAt(ear, operator, options.rows);
  } finally {
    await opening.link.close(message('port-closed'));
  }
}

async function testAt(ear: BoardEar, operator: Operator, rows: number): Promise<SelfTest> {
  const { hello } = ear;
  if (hello === null)
    return {
      ok: false,
      fault: {
        text: 'no board that keeps to the wire format answers at this port: `tenwire check-board` says why',
      },
    };
  const rest = await restReadings(ear, operator);
  const fallTimes = await cutOff(ear, operator, rest.bare);
  const slide = ear.spans.pos === undefined ? null : await slideOver(ear, operator);
  const asked = switchSteps(hello.senses, rows);
  const switches = [];
  for (const step of asked) switches.push(await tryOut(step, ear, operator));
  if (ear.lostBecause !== null)
    return { ok: false, fault: { text: `the self-test was cut short: ${ear.lostBecause}` } };
  const checks = [...judge({ rest, fallTimesS: fallTimes, slide }), ...switches];
  const all = switchSteps(0xff, rows).map(({ id }) => id);
  const without = (['pos', 'drv'] as const).filter((channel) => ear.spans[channel] === undefined);
  return {
    ok: true,
    report: {
      format: 'tenwire-self-test/1',
      board: { name: hello.board, firmware: hello.firmware },
      passed: checks.every(({ passed }) => passed),
      checks,
      leftOut: [...without, ...all.filter((id) => asked.every((step) => step.id !== id))],
    },
  };
}

async function restReadings(ear: BoardEar, operator: Operator): Promise<Record<RestStep, Reading>> {
  const readings: Partial<Record<RestStep, Reading>> = {};
  for (const { step, ask } of REST_STEPS) {
    operator.tell(`${ask}; then Enter`);
    await operator.done();
    await sleep(REST_MS);
    readings[step] = readingOf(await ear.samples(MEASURE_MS), ear.spans);
  }
  const { bare, plus, minus, over, driver } = readings;
  if (!bare || !plus || !minus || !over || !driver) throw new Error('a step was left out');
  return { bare, plus, minus, over, driver };
}

/** A current that a clip makes and breaks: each break shows the lag. */
async function cutOff(ear: BoardEar, operator: Operator, { gal }: Reading): Promise<number[]> {
  operator.tell(
    `take R35 and R36 off and clip R34 between + supply and P; Enter, then take its clip off P and put it back, ${CUTS} times`,
  );
  await operator.done();
  const zero = gal?.mean ?? 0;
  const enough = (samples: readonly SampleFrame[]) => fallTimesS(samples, zero).length >= CUTS;
  return fallTimesS(
    await until(operator, (done) => ear.samples(CUTS_MS, (all) => done() || enough(all))),
    zero,
  );
}

async function slideOver(ear: BoardEar, operator: Operator) {
  operator.tell(
    'take the dummy source off; set the jockey to one end of the scale; Enter, slide it slowly to the other end (about 10 s), Enter',
  );
  await operator.done();
  const samples = await until(operator, (done) => ear.samples(SLIDE_MS, done));
  return slideOf(samples, ear.spans);
}

/** It must be seen open and closed. */
async function tryOut(step: SwitchStep, ear: BoardEar, operator: Operator): Promise<SelfTestCheck> {
  operator.tell(`${step.ask}; Enter if nothing happens`);
  let [opened, closed] = [false, false];
  await until(operator, (done) =>
    ear.listen(SWITCH_MS, (heard) => {
      closed = heard.some(step.isClosed);
      opened = heard.some((frame) => !step.isClosed(frame));
      return (opened && closed) || done();
    }),
  );
  const seen = closed ? (opened ? 'seen open and closed' : 'seen closed only') : 'never seen closed';
  return { id: step.id, passed: opened && closed, seen, parts: step.parts };
}

/** Listens until it has heard enough or the operator says so. */
async function until<Heard>(
  operator: Operator,
  listen: (done: () => boolean) => Promise<Heard>,
): Promise<Heard> {
  const enough = new AbortController();
  let answered = false;
  const answer = operator.done(enough.signal).finally(() => {
    answered = true;
  });
  const heard = listen(() => answered).finally(() => enough.abort());
  await answer.catch((why) => {
    if (!enough.signal.aborted) throw why;
  });
  return heard;
}
