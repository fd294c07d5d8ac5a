import { useState } from 'preact/hooks';
import { plusMinus, resultText } from '../../bridge/calc-core/rounding.ts';
import type { BoardRow, FindingCode, NextStep, Outcome } from '../../bridge/serve/page-protocol.ts';
import { writeAddress } from '../app/address.ts';
import { useApp, useMaySteer } from '../app/app-context.ts';
import type { Texts } from '../texts/en.ts';
import { useTexts } from '../texts/texts.ts';
import { SayForm } from './say-form.tsx';

const WANTED_SETS = 4;
const ALL_ENDS = 4;

/** One bench of the class: why it needs somebody, what is done there, how far it is. A press opens its live page. */
export function BenchCard({ row, shown }: { row: BoardRow; shown: boolean }) {
  const { connection } = useApp();
  const texts = useTexts();
  const maySteer = useMaySteer();
  const [saying, setSaying] = useState(false);
  const isAsked = saying || row.needs === 'calls';
  const { session, bench, by, needs } = row;
  const look = () => {
    if (session === null) return;
    connection.open(session);
    writeAddress({ tab: 'run', run: session });
  };
  return (
    <li class={`bench-card panel needs-${needs ?? 'none'}`} data-testid="bench-card">
      <h3>
        <button type="button" class="bench-look" disabled={session === null} onClick={look}>
          <span class="visually-hidden">{texts.classBoard.look(bench)}</span>
          <span aria-hidden="true">{bench}</span>
        </button>
        {needs !== null && <span class="bench-needs">{texts.classBoard.needs[needs]}</span>}
      </h3>
      <p class="quiet bench-who">
        <span translate={false}>{by.length > 0 ? by.join(', ') : row.station}</span>
        {maySteer && !isAsked && (
          <button type="button" class="bench-say" onClick={() => setSaying(true)}>
            {texts.classBoard.say}
          </button>
        )}
      </p>
      <p class="bench-doing">{doingText(texts, row)}</p>
      <Progress row={row} />
      <p class="bench-result">
        {shown && row.result !== null ? resultOf(row.result) : resultWord(texts, row)}
      </p>
      <Remarks row={row} />
      {maySteer && isAsked && (
        <SayForm
          label={texts.classBoard.sayTo(bench)}
          to={{ station: row.station, run: row.run }}
          said={row.said}
        />
      )}
    </li>
  );
}

const resultOf = ({ quantity, value, U, unit }: NonNullable<BoardRow['result']>): string =>
  `${quantity} = ${resultText({ value, U, unit: unit as Outcome['unit'] })}`;

const resultWord = (texts: Texts, { hasResult, summary: { lastNull } }: BoardRow): string => {
  if (hasResult) return texts.classBoard.hidden;
  return lastNull === null || lastNull.lengthCm === null
    ? ''
    : texts.classBoard.last(plusMinus(lastNull.lengthCm, lastNull.uCm, 'cm'));
};

function doingText(texts: Texts, { needs, summary, stationUp }: BoardRow): string {
  const { step, set, cell, ended, quietS, finding } = summary;
  if (ended) return texts.classBoard.runEnded;
  if (needs === 'vanished') return stationUp ? texts.classBoard.boardSilent : texts.classBoard.stationGone;
  if ((needs === 'stop' || needs === 'warn') && finding !== null) return findingText(texts, finding.code);
  const doing = stepText(texts, step);
  if (needs === 'quiet') return `${doing}, ${texts.classBoard.quietFor(String(Math.round(quietS / 60)))}`;
  return set === null || cell === null
    ? doing
    : `${texts.classBoard.set(String(set), String(cell))}: ${doing}`;
}

/** A station of another version may send codes that are not known here. */
const stepText = (texts: Texts, step: string): string =>
  Object.hasOwn(texts.classBoard.doing, step) ? texts.classBoard.doing[step as NextStep['do']] : step;
const findingText = (texts: Texts, code: string): string =>
  Object.hasOwn(texts.findings.titles, code) ? texts.findings.titles[code as FindingCode] : code;

/** Ends, nulls and sets: a dot for each set that is wanted. */
function Progress({ row: { summary } }: { row: BoardRow }) {
  const texts = useTexts();
  const { setsDone, nulls, endsTried } = summary;
  const dots = Array.from({ length: Math.max(WANTED_SETS, setsDone) }, (_, index) => index < setsDone);
  return (
    <p class="bench-progress">
      <span role="img" aria-label={texts.classBoard.setsOf(setsDone)}>
        {dots.map((done, index) => (
          <span key={index} aria-hidden="true" class={done ? 'set-dot set-done' : 'set-dot'} />
        ))}
      </span>{' '}
      <span>{texts.classBoard.nulls(nulls)}</span>
      {endsTried >= ALL_ENDS && <span> · {texts.classBoard.ends}</span>}
    </p>
  );
}

const SHOWN_BEHIND_BYTES = 100_000;

function Remarks({ row: { behindBytes, copies, trouble } }: { row: BoardRow }) {
  const texts = useTexts();
  return (
    <>
      {behindBytes > SHOWN_BEHIND_BYTES && (
        <p class="quiet">{texts.classBoard.behind((behindBytes / 1000).toFixed(0))}</p>
      )}
      {copies > 1 && <p class="board-trouble">{texts.classBoard.copies(copies)}</p>}
      {trouble !== null && <p class="board-trouble">{texts.classBoard.unwritten(trouble)}</p>}
    </>
  );
}
