import { plusMinus } from '../../bridge/calc-core/rounding.ts';
import { driverText } from '../../bridge/run/set-rows.ts';
import type { ComparisonWork, SessionView } from '../../bridge/serve/page-protocol.ts';
import { TableHead } from '../app/table-head.tsx';
import { expandedText, Quantity } from '../run/result-line.tsx';
import { useTexts } from '../texts/texts.ts';

/** What a reference cell makes of the lengths: the other cell's EMF, and the wire as a measure of voltage. */
export function ByReference({ view }: { view: SessionView }) {
  const texts = useTexts();
  const { work } = view;
  if (view.referenceCells.length === 0 || work.procedure !== 'emf-comparison') return null;
  const result = work.emf?.result ?? null;
  return (
    <section class="panel" data-testid="by-reference">
      <h2>{texts.result.byReference}</h2>
      <dl class="figures beside">
        {view.referenceCells.map(({ cell, emfV, uEmfV }) => (
          <>
            <dt>{texts.result.referenceEmf(cell)}</dt>
            <dd>{plusMinus(emfV, uEmfV, 'V')}</dd>
          </>
        ))}
        {result !== null && (
          <>
            <dt>
              <Quantity outcome={result} />
            </dt>
            <dd data-testid="emf">
              {plusMinus(result.value, result.U, 'V')}
              <br />
              <span class="quiet">{expandedText(texts, result)}</span>
            </dd>
          </>
        )}
      </dl>
      {work.wireLines.length > 0 && <WireLines lines={work.wireLines} />}
    </section>
  );
}

function WireLines({ lines }: { lines: ComparisonWork['wireLines'] }) {
  const texts = useTexts();
  const { observations, result } = texts;
  return (
    <>
      <h3>{result.wireLine}</h3>
      <p class="quiet">{result.wireLineHow}</p>
      <table>
        <TableHead headings={[observations.set, observations.driver, result.gradient, 'α / cm']} />
        <tbody>
          {lines.map((line) => (
            <tr key={line.set}>
              <td>{line.set}</td>
              <td>{driverText(line.driverMa)}</td>
              <td>{plusMinus(1000 * line.gradientVPerCm, 1000 * line.uGradientVPerCm)}</td>
              <td>{plusMinus(line.endCorrectionCm, line.uEndCorrectionCm)}</td>
            </tr>
          ))}
        </tbody>
      </table>
    </>
  );
}
