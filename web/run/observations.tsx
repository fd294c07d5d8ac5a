import { plusMinusText } from '../../bridge/calc-core/rounding.ts';
import { setRows } from '../../bridge/run/set-rows.ts';
import type { SessionView } from '../../bridge/serve/page-protocol.ts';
import { useView } from '../app/app-context.ts';
import { TableHead } from '../app/table-head.tsx';
import { useTexts } from '../texts/texts.ts';

export function Observations() {
  const view = useView();
  const texts = useTexts();
  if (view === null) return null;
  const labels = texts.observations;
  const headings = headingsOf(labels, view.work);
  const rows = setRows(view.work);
  return (
    <section class="panel">
      <h2>{labels.heading}</h2>
      {rows.length === 0 ? (
        <p class="quiet">{labels.none}</p>
      ) : (
        // biome-ignore lint/a11y/noNoninteractiveTabindex: a region that scrolls must be reachable by keyboard
        <section class="scroll" tabIndex={0} aria-label={labels.heading}>
          <table data-testid="observations">
            <TableHead headings={[labels.set, labels.driver, ...headings]} />
            <tbody>
              {rows.map(({ set, driverMa, loadOhm, lengths, made }) => (
                <tr key={`${set} ${loadOhm}`}>
                  <th scope="row">{set}</th>
                  <td>{driverMa}</td>
                  {loadOhm !== null && <td>{loadOhm}</td>}
                  {[...lengths, made].map((rounded, index) => (
                    <td key={index}>{plusMinusText(rounded)}</td>
                  ))}
                </tr>
              ))}
            </tbody>
          </table>
        </section>
      )}
    </section>
  );
}

type Labels = ReturnType<typeof useTexts>['observations'];

const headingsOf = (labels: Labels, { procedure }: SessionView['work']): string[] =>
  procedure === 'emf-comparison'
    ? [labels.l1, labels.l2, labels.ratio]
    : [labels.load, labels.l0, labels.l, labels.r];
