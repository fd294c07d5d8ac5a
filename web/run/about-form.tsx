import { useState } from 'preact/hooks';
import { HEAD_FIELDS, type Head, headIn, namesIn } from '../../bridge/run/about.ts';
import type { SessionView } from '../../bridge/serve/page-protocol.ts';
import { useMayRecord, useRecordEvent, useView } from '../app/app-context.ts';
import { keepTexts, keptTexts } from '../app/preferences.ts';
import { useTexts } from '../texts/texts.ts';
import { typedNumber } from './typed-length.tsx';

/** What is kept for the next run at a bench: of those that come after, all but who it is. */
const KEPT = ['institution', 'course', 'experiment'] as const;
const keptUnder = (bench: string): string => `head.${bench}`;

/** The head of the last record at a bench, as far as it holds for the next. */
export const keptHead = (bench: string): Head => headIn(keptTexts(keptUnder(bench)));

/**
 * The head of the record: whose run, where and how warm; nothing in it is required. It stands at the top of the page while nobody is
 * named, and among the tables afterwards.
 */
export function AboutForm({ at }: { at: 'top' | 'tables' }) {
  const view = useView();
  const texts = useTexts();
  const mayRecord = useMayRecord();
  const known = view?.about?.by;
  const names = Array.isArray(known) ? known.join(', ') : '';
  if (view === null || !mayRecord || (names === '') !== (at === 'top')) return null;
  return (
    // Closed again when it has been saved.
    <details key={JSON.stringify(view.about)} class="panel about" open={at === 'top'}>
      <summary>
        <h2>{texts.about.heading}</h2> <span translate={false}>{names}</span>
      </summary>
      <HeadForm key={view.bench?.name ?? ''} view={view} names={names} />
    </details>
  );
}

function HeadForm({ view, names }: { view: SessionView; names: string }) {
  const texts = useTexts();
  const recordEvent = useRecordEvent();
  const bench = view.bench?.name ?? '';
  const [by, setBy] = useState(names);
  const [temperature, setTemperature] = useState('');
  const [head, setHead] = useState<Head>({ ...keptHead(bench), ...headIn(view.about) });
  const submit = (event: Event) => {
    event.preventDefault();
    const temperatureC = typedNumber(temperature);
    recordEvent({
      kind: 'about',
      by: namesIn(by),
      ...headIn(head),
      ...(temperatureC === null ? {} : { temperatureC }),
    });
    keepTexts(keptUnder(bench), Object.fromEntries(KEPT.map((name) => [name, head[name] ?? ''])));
  };
  return (
    <form class="inline-form" onSubmit={submit} aria-label={texts.about.heading}>
      <label>
        {texts.setup.by}
        <input value={by} maxLength={200} onInput={(event) => setBy(event.currentTarget.value)} />
      </label>
      <label>
        {texts.setup.temperature} / °C
        <input
          class="load-ohm"
          inputMode="decimal"
          value={temperature}
          onInput={(event) => setTemperature(event.currentTarget.value)}
        />
      </label>
      {HEAD_FIELDS.map((name) => (
        <label key={name}>
          {texts.about[name]}
          <input
            value={head[name] ?? ''}
            maxLength={200}
            onInput={(event) => setHead({ ...head, [name]: event.currentTarget.value })}
          />
        </label>
      ))}
      <button type="submit" disabled={by.trim() === ''}>
        {texts.nulls.save}
      </button>
    </form>
  );
}

/** The ammeter read by eye, where the board does not measure the driver current. */
export function AmmeterForm() {
  const view = useView();
  const texts = useTexts();
  const recordEvent = useRecordEvent();
  const mayRecord = useMayRecord();
  const [typed, setTyped] = useState('');
  const reading = typedNumber(typed);
  if (view === null || !mayRecord || view.board === null || view.board.channels.includes('drv')) return null;
  const submit = (event: Event) => {
    event.preventDefault();
    if (reading === null) return;
    recordEvent({ kind: 'ammeter', readingMa: reading });
    setTyped('');
  };
  return (
    <form class="inline-form" onSubmit={submit}>
      <label>
        {texts.about.ammeter} / mA
        <input inputMode="decimal" value={typed} onInput={(event) => setTyped(event.currentTarget.value)} />
      </label>
      <button type="submit" disabled={reading === null}>
        {texts.nulls.save}
      </button>
    </form>
  );
}
