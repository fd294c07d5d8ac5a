import { useEffect, useState } from 'preact/hooks';
import {
  DASH,
  fixed,
  plusMinus,
  plusMinusText,
  roundTogether,
  unitSymbol,
} from '../../bridge/calc-core/rounding.ts';
import { setRows } from '../../bridge/run/set-rows.ts';
import type { RunWork, WholeView } from '../../bridge/serve/page-protocol.ts';
import { useApp } from '../app/app-context.ts';
import { postTo, refusalIn } from '../app/bench-setup-client.ts';
import { clock, grouped } from '../app/format.ts';
import { outcomeOf } from '../run/result-line.tsx';
import type { Texts } from '../texts/en.ts';
import { useTexts } from '../texts/texts.ts';

/** Two runs side by side in one table, each folded whole by the bridge. */
export function CompareRuns({ files }: { files: [string, string] }) {
  const texts = useTexts();
  const { store } = useApp();
  const [views, setViews] = useState<[WholeView, WholeView] | null>(null);
  useEffect(() => {
    let wanted = true;
    setViews(null);
    void Promise.all(files.map((file) => postTo('whole', { file }))).then(([one, other]) => {
      if (!wanted) return;
      if (one.ok && other.ok) setViews([one.view, other.view]);
      else
        for (const answer of [one, other]) if (!answer.ok) store.notify((inUse) => refusalIn(inUse, answer));
    });
    return () => {
      wanted = false;
    };
  }, [files[0], files[1]]);
  return (
    <section class="panel" aria-busy={views === null}>
      <h2>{texts.recordings.sideBySide}</h2>
      {views === null ? (
        <p class="quiet">{texts.recordings.reading}</p>
      ) : (
        <>
          <p data-testid="agreement">{agreementText(texts, views)}</p>
          <table class="compare" data-testid="compare">
            <thead>
              <tr>
                <td />
                {files.map((file) => (
                  <th scope="col" key={file}>
                    {file}
                  </th>
                ))}
              </tr>
            </thead>
            <tbody>
              {rowsOf(texts, views).map(([name, one, other]) => (
                <tr key={name}>
                  <th scope="row">{name}</th>
                  <td>{one}</td>
                  <td>{other}</td>
                </tr>
              ))}
            </tbody>
          </table>
        </>
      )}
    </section>
  );
}

/** Whether two results agree within the U of their difference, both at 95 %; results of different things are not compared. */
function agreementText({ recordings, localise }: Texts, [one, other]: [WholeView, WholeView]): string {
  const [first, second] = [outcomeOf(one), outcomeOf(other)];
  if (first === null || second === null) return recordings.noResult;
  const [measured, otherwise] = [one, other].map(({ measurand }) =>
    measurand === null ? '' : localise(measurand),
  );
  if (measured !== otherwise) return recordings.otherThings(measured, otherwise);
  const off = Math.abs(first.value - second.value);
  const U = Math.hypot(first.U, second.U);
  return recordings.agreement(off <= U, plusMinus(off, U, unitSymbol(first.unit)));
}

type Row = [name: string, one: string, other: string];

function rowsOf(texts: Texts, views: [WholeView, WholeView]): Row[] {
  const row = (name: string, tell: (view: WholeView) => string): Row => [
    name,
    tell(views[0]),
    tell(views[1]),
  ];
  const sets = Math.max(views[0].work.sets.length, views[1].work.sets.length);
  return [
    row(texts.recordings.who, (view) => who(view)),
    row(texts.recordings.when, (view) => String(view.about?.startedUtc ?? DASH)),
    row(texts.recordings.what, (view) => (view.measurand === null ? DASH : texts.localise(view.measurand))),
    row(texts.tabs.bench, (view) => view.bench?.name ?? '–'),
    row(texts.recordings.lasted, (view) => clock(view.durationS)),
    ...Array.from({ length: sets }, (_, index) =>
      row(`${texts.labels.set} ${index + 1}`, (view) => setText(view.work, index)),
    ),
    row(texts.result.heading, resultText),
    row('U', (view) => fixedU(view)),
    row(texts.result.endCorrection, endCorrectionText),
    row(texts.findings.heading, (view) => String(view.findings.length)),
    row(texts.stream.heading, (view) => grouped(view.stream.samples)),
  ];
}

const who = (view: WholeView): string => {
  const by = view.about?.by;
  return Array.isArray(by) && by.length > 0 ? by.join(', ') : '–';
};

function setText(work: RunWork, index: number): string {
  const row = setRows(work).at(index);
  if (row === undefined) return DASH;
  return `${plusMinusText(row.made)}${work.procedure === 'emf-comparison' ? '' : ' Ω'}`;
}

function resultText(view: WholeView): string {
  const result = outcomeOf(view);
  return result === null ? DASH : roundTogether(result.value, result.U).value;
}

function fixedU(view: WholeView): string {
  const result = outcomeOf(view);
  return result === null
    ? DASH
    : `${roundTogether(result.value, result.U).uncertainty} (k = ${fixed(result.k, 2)})`;
}

function endCorrectionText(view: WholeView): string {
  const found = view.work.outcome?.endCorrectionCm ?? null;
  return found === null ? '–' : plusMinus(found.value, found.u, 'cm');
}
