import { significant } from '../../bridge/calc-core/rounding.ts';
import { useTexts } from '../texts/texts.ts';
import { at, type Draft } from './draft.ts';
import type { DraftTools } from './draft-tools.ts';
import { Group } from './fields.tsx';
import { KnownField } from './known-field.tsx';

/** Over so much of the wire people compare one piece with another; the file has the whole wire. */
const PIECE_CM = 10;

/** What makes lengths wrong and only a measurement can tell: wire, strips, ends, thermal EMFs, cells. */
export function Errors({ tools }: { tools: DraftTools }) {
  const texts = useTexts();
  const { errors } = texts.setup;
  const wireCm = wireCmOf(tools.draft);
  const perMilliohm = cmPerMilliohm(tools.draft, wireCm);
  const asWire = perMilliohm === null ? null : errors.milliohm(significant(perMilliohm, 2));
  return (
    <Group title={errors.heading} note={errors.how}>
      <Walk tools={tools} wireCm={wireCm} />
      <KnownField
        tools={tools}
        title={errors.rows}
        how={errors.rowsHow}
        parts={[{ path: 'wire.rowSpreadRelative', label: errors.ofRows, unit: '%', factor: 100 }]}
        note={null}
      />
      <KnownField
        tools={tools}
        title={errors.strips}
        how={errors.stripsHow}
        parts={valueParts('wire.turnCorrectionCm', errors)}
        note={asWire}
      />
      <KnownField
        tools={tools}
        title={errors.end}
        how={errors.endHow}
        parts={valueParts('endCorrection', errors)}
        note={asWire}
      />
      <KnownField
        tools={tools}
        title={errors.thermal}
        how={errors.thermalHow}
        parts={[{ path: 'thermalEmfUv', label: errors.u, unit: 'µV' }]}
        note={null}
      />
      {([1, 2] as const).map((cell) => (
        <KnownField
          key={cell}
          tools={tools}
          title={errors.steady(cell)}
          how={errors.steadyHow}
          parts={[
            {
              path: `cells.${cell}.steadyRelativePerMin`,
              label: errors.u,
              unit: errors.perMinute,
              factor: 100,
            },
          ]}
          note={null}
        />
      ))}
    </Group>
  );
}

/** A walk of u·√(L·l) on a wire L is u·√(L/10) of each 10 cm: without the wire's length the one can't be told from the other. */
function Walk({ tools, wireCm }: { tools: DraftTools; wireCm: number | null }) {
  const { errors } = useTexts().setup;
  if (wireCm === null) return <p class="quiet">{errors.walkNeeds}</p>;
  const ofWire = at(tools.draft, 'wire.uniformityRelative');
  return (
    <KnownField
      tools={tools}
      title={errors.walk}
      how={errors.walkHow}
      parts={[
        {
          path: 'wire.uniformityRelative',
          label: errors.ofPieces,
          unit: '%',
          factor: 100 * Math.sqrt(wireCm / PIECE_CM),
        },
      ]}
      note={typeof ofWire === 'number' ? errors.walkInFile(significant(100 * ofWire, 2)) : null}
    />
  );
}

const valueParts = (path: string, { worth, u }: { worth: string; u: string }) => [
  { path: `${path}.valueCm`, label: worth, unit: 'cm' },
  { path: `${path}.standardUncertaintyCm`, label: u, unit: 'cm' },
];

const positiveAt = (draft: Draft, path: string): number | null => {
  const value = at(draft, path);
  return typeof value === 'number' && value > 0 ? value : null;
};

function wireCmOf(draft: Draft): number | null {
  const rows = positiveAt(draft, 'wire.rows');
  const rowCm = positiveAt(draft, 'wire.rowLengthCm');
  return rows === null || rowCm === null ? null : rows * rowCm;
}

function cmPerMilliohm(draft: Draft, wireCm: number | null): number | null {
  const ohm = positiveAt(draft, 'wire.resistanceOhm');
  return ohm === null || wireCm === null ? null : (1e-3 * wireCm) / ohm;
}
