import type { ComparisonSetView, LoadSetView } from '../../bridge/serve/messages.ts';
import { useView } from '../app/app-context.ts';
import { fixed, plusMinus } from '../app/format.ts';
import { TableHead } from '../app/table-head.tsx';
import { useTexts } from '../texts/texts.ts';

const isComparison = (set: ComparisonSetView | LoadSetView): set is ComparisonSetView => 'l1Cm' in set;

export function Observations() {
  const view = useView();
  const texts = useTexts();
  if (view === null) return null;
  const words = texts.observations;
  return (
    <section class="panel">
      <h2>{words.heading}</h2>
      {view.sets.length === 0 ? (
        <p class="quiet">{words.none}</p>
      ) : (
        // biome-ignore lint/a11y/noNoninteractiveTabindex: a region that scrolls must be reachable by keyboard
        <section class="scroll" tabIndex={0} aria-label={words.heading}>
          <table data-testid="observations">
            <TableHead headings={[words.set, words.driver, ...headings(words, view.procedure)]} />
            <tbody>
              {view.sets.map((set) => (
                <tr key={isComparison(set) ? set.set : `${set.set} ${set.loadOhm}`}>
                  <th scope="row">{set.set}</th>
                  <td>{fixed(set.driverMa, 1)}</td>
                  {(isComparison(set) ? comparisonCells(set) : loadCells(set)).map((text, index) => (
                    <td key={headings(words, view.procedure)[index]}>{text}</td>
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

const headings = (words: Words, procedure: string): string[] =>
  procedure === 'emf-comparison'
    ? [words.l1, words.l2, words.ratio]
    : [words.load, words.l0, words.l, words.r];

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
