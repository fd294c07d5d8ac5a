import type { RunFold } from '../fold.ts';
import type { Finding } from '../view.ts';

/** What the line from the board, the recording and the bench file themselves give reason to say. */
export function streamFindings(fold: RunFold): Finding[] {
  const { stream } = fold;
  const findings: Finding[] = [];
  const add = (code: Finding['code'], severity: Finding['severity'], text: string) =>
    findings.push({ code, severity, text });
  if (stream.lostSamples > 0) {
    const share = (100 * stream.lostSamples) / (stream.samples + stream.lostSamples);
    add(
      'samples-lost',
      share > 1 ? 'warn' : 'note',
      `${stream.lostSamples} samples never arrived (${share.toFixed(2)} %).`,
    );
  }
  if (stream.badLines > 0) {
    add(
      'lines-damaged',
      'note',
      `${stream.badLines} lines could not be read and were left out; look at the cable and the baud rate if they go on.`,
    );
  }
  if (stream.boots > 1)
    add('board-restarted', 'note', `The board started anew ${stream.boots - 1} times during the run.`);
  if (fold.torn)
    add('recording-torn', 'note', 'The recording ends in the middle of a line, which is left out.');
  for (const fault of fold.benchFaults) {
    add('bench-senseless', 'stop', `The bench file in event ${fault.number} cannot be used: ${fault.text}`);
  }
  if (fold.bench === null && stream.samples > 0) {
    add(
      'bench-unknown',
      'stop',
      'No bench file has been given, so counts cannot be turned into lengths and currents.',
    );
  }
  if (fold.bench === null && stream.samples === 0)
    add(
      'bench-unknown',
      'note',
      'Neither a bench file nor a sample has come yet: nothing is measured so far.',
    );
  if (fold.log.unreadable > 0) {
    add(
      'event-unreadable',
      'note',
      `${fold.log.unreadable} events could not be understood and were left out.`,
    );
  }
  const rateHz = fold.board.hello?.rateHz;
  if (rateHz !== undefined && foldsHum(rateHz)) {
    add(
      'hum-aliased',
      'warn',
      `At ${rateHz} samples a second mains hum looks like a steady or slow current and shifts the null. Choose a rate that ` +
        'does not divide 100 or 120, such as 200 or 90.',
    );
  }
  return findings;
}

/** Whether hum at 50 or 60 Hz, or twice that, comes out below 1 Hz after sampling. */
function foldsHum(rateHz: number): boolean {
  return [50, 60, 100, 120].some(
    (hz) => Math.abs(hz - rateHz * Math.round(hz / rateHz)) < 1 && rateHz <= hz + 1,
  );
}
