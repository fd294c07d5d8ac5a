import { describeFault } from '../../bench/bench-file.ts';
import type { Message } from '../../calc-core/message.ts';
import { aliasesHum, MAINS_HZ } from '../../detect/estimate/hum.ts';
import { message } from '../../messages/catalogue.ts';
import type { RunState } from '../run-state.ts';
import { benchOf } from '../run-state.ts';
import type { Finding } from '../view.ts';

/** What the line from the board, the recording and the bench file themselves give reason to say. */
export function streamFindings(state: RunState, samples: number): Finding[] {
  const { badLines, boots, lostSamples } = state.losses;
  const bench = benchOf(state);
  const findings: Finding[] = [];
  const add = (code: Finding['code'], severity: Finding['severity'], said: Message) =>
    findings.push({ code, severity, ...said });
  if (lostSamples > 0) {
    const share = (100 * lostSamples) / (samples + lostSamples);
    const said = message('samples-lost', { samples: lostSamples, percent: share.toFixed(2) });
    add('samples-lost', share > 1 ? 'warn' : 'note', said);
  }
  if (badLines > 0) add('lines-damaged', 'note', message('lines-damaged', { lines: badLines }));
  if (boots > 1) add('board-restarted', 'note', message('board-restarted', { times: boots - 1 }));
  if (state.torn) add('recording-torn', 'note', message('recording-torn'));
  for (const { number, faults } of unusableBenches(state)) {
    const said = message('bench-unusable', { event: number, faults: faults.map(describeFault) });
    add('bench-senseless', 'stop', said);
  }
  if (bench === null && samples > 0) add('bench-unknown', 'stop', message('no-bench'));
  if (bench === null && samples === 0) add('bench-unknown', 'note', message('nothing-yet'));
  const numbers = state.log.unreadable;
  if (numbers.length > 0) {
    const shown = [...numbers.slice(0, 10), ...(numbers.length > 10 ? ['…'] : [])].join(', ');
    add('event-unreadable', 'warn', message('events-unreadable', { events: numbers.length, numbers: shown }));
  }
  const rateHz = state.board.view?.rateHz;
  if (rateHz !== undefined && foldsHum(rateHz)) add('hum-aliased', 'warn', message('hum-folded', { rateHz }));
  return findings;
}

/** A bench file that can be used takes the place of all that came before. */
function unusableBenches({ benchFaults, log }: RunState): RunState['benchFaults'] {
  const unusable = benchFaults.map(({ number }) => number);
  const usable = log.standing('bench').map(({ entry }) => entry.number);
  const inForce = usable.findLast((number) => !unusable.includes(number)) ?? 0;
  return benchFaults.filter(({ number }) => number > inForce);
}

/** For so long a jockey that slides at an ordinary pace is near its null (common practice, no source). */
const NULL_TAKES_S = 1;

/** Whether hum, or twice its frequency as rectifiers make it (which is never fitted), comes out as a slow current. */
const foldsHum = (rateHz: number): boolean =>
  MAINS_HZ.some((hz) => [hz, 2 * hz].some((humHz) => aliasesHum(rateHz, humHz, NULL_TAKES_S)));
