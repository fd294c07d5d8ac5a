import type { ChannelName, SampleFrame } from '../../firmware-protocol/frames.ts';
import { FLAGS, SENSES } from '../../firmware-protocol/frames.ts';
import { channelsOf } from './check-identity.ts';
import { type BoardLog, type CheckFinding, fault, note, samplesOf, warn } from './log.ts';

const CHANNELS: ChannelName[] = ['gal', 'pos', 'drv'];

/** Smallest and greatest count seen, and the share of samples at an end of the span. */
export interface SpanSeen {
  channel: ChannelName;
  least: number;
  most: number;
  saturatedShare: number;
}

export function spansSeen(log: BoardLog): SpanSeen[] {
  const stated = channelsOf(log);
  const samples = samplesOf(log);
  return CHANNELS.flatMap((channel) => {
    const counts = samples.flatMap(({ frame }) => frame[channel] ?? []);
    if (counts.length === 0) return [];
    const span = stated.get(channel);
    const atEnd = counts.filter(
      (count) => span !== undefined && (count <= span.minCount || count >= span.maxCount),
    );
    return [
      {
        channel,
        least: counts.reduce((least, count) => Math.min(least, count)),
        most: counts.reduce((most, count) => Math.max(most, count)),
        saturatedShare: atEnd.length / counts.length,
      },
    ];
  });
}

/** Counts, row and flags against what H and C say of them. */
export const checkValues = (log: BoardLog): CheckFinding[] => [
  ...checkSpans(log),
  ...checkFields(log),
  ...checkSenses(log),
];

function checkSpans(log: BoardLog): CheckFinding[] {
  const stated = channelsOf(log);
  return spansSeen(log).flatMap(({ channel, least, most, saturatedShare }) => {
    const span = stated.get(channel);
    if (span === undefined) return [];
    const findings: CheckFinding[] = [];
    if (least < span.minCount || most > span.maxCount)
      findings.push(
        fault(
          'beyond-span',
          `${channel} reads from ${least} to ${most}, beyond the span ${span.minCount} to ${span.maxCount} of its C line`,
        ),
      );
    if (least === most)
      findings.push(
        warn(
          'standing-still',
          `${channel} reads ${least} all the time: move the jockey or close the key, and look at the wiring if it stays so`,
        ),
      );
    if (saturatedShare === 1)
      findings.push(warn('all-saturated', `${channel} is at an end of its span all the time`));
    return findings;
  });
}

/** A channel has a count in every sample or in none, as its C line says. */
function checkFields(log: BoardLog): CheckFinding[] {
  const stated = channelsOf(log);
  const samples = samplesOf(log);
  if (stated.size === 0) return [];
  return CHANNELS.flatMap((channel) => {
    const filled = samples.filter(({ frame }) => frame[channel] !== null).length;
    if (filled > 0 && !stated.has(channel))
      return [fault('field-unstated', `S lines carry counts of ${channel}, which has no C line`)];
    if (filled < samples.length && stated.has(channel))
      return [
        fault(
          'field-empty',
          `${channel} is empty in ${samples.length - filled} of ${samples.length} samples, though it has a C line`,
        ),
      ];
    return [];
  });
}

interface Sense {
  name: string;
  bit: number;
  read(sample: SampleFrame): number;
}

const SENSED: Sense[] = [
  { name: 'contact', bit: SENSES.contact, read: ({ flags }) => flags & FLAGS.contact },
  { name: 'cell key', bit: SENSES.cellKey, read: ({ flags }) => (flags >> FLAGS.cellShift) & FLAGS.cellMask },
  { name: 'protective resistance', bit: SENSES.protect, read: ({ flags }) => flags & FLAGS.protect },
  { name: 'row', bit: SENSES.row, read: ({ row }) => row },
  { name: 'load key', bit: SENSES.load, read: ({ flags }) => flags & FLAGS.load },
];

/** What was seen of each thing that a board can sense. */
export interface SenseSeen {
  name: string;
  wired: boolean;
  /** Values that came, in rising order. */
  values: number[];
}

export function sensesSeen(log: BoardLog): SenseSeen[] {
  const senses = log.heard.reduce((last, { frame }) => (frame.type === 'H' ? frame.senses : last), 0);
  const samples = samplesOf(log);
  return SENSED.map(({ name, bit, read }) => ({
    name,
    wired: (senses & bit) !== 0,
    values: [...new Set(samples.map(({ frame }) => read(frame)))].sort((a, b) => a - b),
  }));
}

function checkSenses(log: BoardLog): CheckFinding[] {
  return sensesSeen(log).flatMap(({ name, wired, values }) => {
    if (!wired && values.some((value) => value !== 0))
      return [fault('sense-unstated', `${name} is reported, though H says that it is not wired`)];
    if (name === 'cell key' && values.includes(3))
      return [warn('both-cells', 'the two-way key was reported to have both cells in circuit (3)')];
    if (wired && values.length === 1)
      return [
        note(
          'sense-still',
          `${name} is wired by H and stayed ${values[0]}: work it while the check runs to see it change`,
        ),
      ];
    return [];
  });
}
