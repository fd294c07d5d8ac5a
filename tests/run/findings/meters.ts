import { benchWith, eye, runOfEvents } from './event-runs.ts';
import type { ShownOf } from './shown.ts';

/** Findings of nulls that the meters contradict: 1.54 V and 1.34 V by the voltmeter, whose least count is 0.02 V. */

const ofDriver = (emfV: number) => runOfEvents(benchWith({ driver: { emfV } }), eye(1, 1, 500));

export const METERS: ShownOf<'meters-disagree'> = {
  'meters-disagree': [
    {
      // 1.149, and 3 % of it and three standard deviations of its least counts beside
      when: 'the ratio is more than 0.054 beside that of the voltmeter',
      has: () => runOfEvents(benchWith(), eye(1, 1, 723.2), eye(2, 1, 600)),
      hasNot: () => runOfEvents(benchWith(), eye(1, 1, 720.8), eye(2, 1, 600)),
      severity: 'warn',
      says: /^The lengths give E1\/E2 = 1\.205\d, the voltmeter's readings 1\.149: /,
    },
    {
      // 19.6 ohm over 1000 cm
      when: 'ammeter and wire give more than 15 % more of cell 2 than the voltmeter',
      has: () => runOfEvents(benchWith(), { kind: 'ammeter', readingMa: 131.2 }, eye(2, 2, 600)),
      hasNot: () => runOfEvents(benchWith(), { kind: 'ammeter', readingMa: 130.9 }, eye(2, 2, 600)),
      severity: 'warn',
      set: 2,
      cell: 2,
      says: /^Set 2: by the ammeter \(131\.2 mA\) .* of cell 2 lies at 1\.54 V, but the cell is stated with 1\.34 V\./,
    },
    {
      when: 'the driver reads no more than a cell whose null lies on the wire',
      has: () => ofDriver(1.54),
      hasNot: () => ofDriver(1.55),
      severity: 'warn',
      cell: 1,
      says: /the driver \(1\.54 V\) does not read more than cell 1 \(1\.54 V\), and yet a null of that cell lies on the wire/,
    },
  ],
};
