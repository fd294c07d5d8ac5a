import type { ComparisonSetView, LoadSetView, RunWork } from '../../bridge/serve/page-protocol.ts';
import { useView } from '../app/app-context.ts';
import { fixed, plusMinus } from '../app/format.ts';
import { TableHead } from '../app/table-head.tsx';
import { useTexts } from '../texts/texts.ts';

export function Observations() {
  const view = useView();
  const texts = useTexts();
  if (view === null) return null;
  const words = texts.observations;
  const headings = headingsOf(words, view.work);
  const rows = rowsOf(view.work);
  return (
    <section class="panel">
      <h2>{words.heading}</h2>
      {rows.length === 0 ? (
        <p class="quiet">{words.none}</p>
      ) : (
        // biome-ignore lint/a11y/noNoninteractiveTabindex: a region that scrolls must be reachable by keyboard
        <section class="scroll" tabIndex={0} aria-label={words.heading}>
          <table data-testid="observations">
            <TableHead headings={[words.set, words.driver, ...headings]} />
            <tbody>
              {rows.map(({ key, set, driverMa, cells }) => (
                <tr key={key}>
                  <th scope="row">{set}</th>
                  <td>{fixed(driverMa, 1)}</td>
                  {cells.map((text, index) => (
                    <td key={headings[index]}>{text}</td>
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

type Words = ReturnType<typeof useTexts>['observations'];

const headingsOf = (words: Words, { procedure }: RunWork): string[] =>
  procedure === 'emf-comparison'
    ? [words.l1, words.l2, words.ratio]
    : [words.load, words.l0, words.l, words.r];

interface Row {
  key: string;
  set: number;
  driverMa: number | null;
  cells: string[];
}

const rowsOf = (work: RunWork): Row[] =>
  work.procedure === 'emf-comparison'
    ? work.sets.map((set) => ({ ...set, key: `${set.set}`, cells: comparisonCells(set) }))
    : work.sets.map((set) => ({ ...set, key: `${set.set} ${set.loadOhm}`, cells: loadCells(set) }));

const comparisonCells = (set: ComparisonSetView): string[] => [
  plusMinus(set.l1Cm, set.u1Cm),
  plusMinus(set.l2Cm, set.u2Cm),
  plusMinus(set.ratio, set.uRatio),
];

const loadCells = (set: LoadSetView): string[] => [
  fixed(set.loadOhm, 2),
  plusMinus(set.l0Cm, set.u0Cm),
  plusMinus(set.lCm, set.uCm),
  plusMinus(set.rOhm, set.uROhm),
];
