import { describe, expect, it } from 'vitest';
import type { FindingCode } from '../../bridge/run/view.ts';
import { CONNECTIONS } from './findings/connections.ts';
import { METERS } from './findings/meters.ts';
import { NULLS } from './findings/nulls.ts';
import { PLACES } from './findings/places.ts';
import { REFERENCE_CELLS } from './findings/reference-cells.ts';
import { SETS } from './findings/sets.ts';
import type { ShownOf } from './findings/shown.ts';
import { STREAM } from './findings/stream.ts';

/** Every finding, by a run that has it and by one near to it that has not: a code without them does not compile. */

const SHOWN: ShownOf<FindingCode> = {
  ...CONNECTIONS,
  ...NULLS,
  ...SETS,
  ...STREAM,
  ...REFERENCE_CELLS,
  ...METERS,
  ...PLACES,
};

describe.each(Object.entries(SHOWN))('%s', (code, shown) => {
  it.each(shown)('is said where $when', ({ has, hasNot, severity, set, cell, says }) => {
    const [said, silent] = [has(), hasNot()].map(({ findings }) =>
      findings.filter((finding) => finding.code === code),
    );
    const where = said.map((finding) => ({
      severity: finding.severity,
      set: finding.set,
      cell: finding.cell,
    }));
    expect(where).toEqual([{ severity, set, cell }]);
    expect(said[0].text).toMatch(says);
    expect(silent).toEqual([]);
  });
});
