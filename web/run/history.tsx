import { useState } from 'preact/hooks';
import type { EventView, RunEvent } from '../../bridge/serve/page-protocol.ts';
import { useMayRecord, useRecordEvent, useView } from '../app/app-context.ts';
import { clock } from '../app/format.ts';
import type { Texts } from '../texts/en.ts';
import { useTexts } from '../texts/texts.ts';

/** Events that only the bridge writes, or that another event puts right. */
const NOT_TO_UNDO: RunEvent['kind'][] = ['undo', 'link', 'resumed', 'bench'];

const canUndo = (entry: EventView): boolean =>
  entry.event !== null && !entry.undone && !NOT_TO_UNDO.includes(entry.event.kind);

/** The number of the last event that can be taken back. */
export const lastToUndo = (events: readonly EventView[]): number | null =>
  events.findLast(canUndo)?.number ?? null;

export function History() {
  const view = useView();
  const texts = useTexts();
  const recordEvent = useRecordEvent();
  const mayRecord = useMayRecord();
  if (view === null) return null;
  return (
    <details class="panel history">
      <summary>
        <h2>{texts.history.heading}</h2>
      </summary>
      {view.events.length === 0 && <p class="quiet">{texts.history.nothing}</p>}
      <ol class="events">
        {view.events.toReversed().map((entry) => (
          <li key={entry.number} class={entry.undone ? 'undone' : ''}>
            <span class="tabular quiet">
              {entry.number} · {clock(entry.ms / 1000)}
            </span>{' '}
            <span class="event-text">{describe(texts, entry.event)}</span>
            {entry.undone && <span class="quiet"> ({texts.history.undone})</span>}
            {mayRecord && canUndo(entry) && (
              <button
                type="button"
                aria-label={`${texts.history.undo} ${entry.number}`}
                onClick={() => recordEvent({ kind: 'undo', event: entry.number })}
              >
                {texts.history.undo}
              </button>
            )}
          </li>
        ))}
      </ol>
      {mayRecord && <NoteForm />}
    </details>
  );
}

function describe(texts: Texts, event: RunEvent | null): string {
  if (event === null) return '?';
  return texts.history.kinds[event.kind](textOf(texts, event));
}

function textOf(texts: Texts, event: RunEvent): string {
  switch (event.kind) {
    case 'set':
      return String(event.set);
    case 'cell':
      return String(event.cell);
    case 'row':
      return String(event.row);
    case 'protect':
      return event.in ? texts.labels.protectIn : texts.labels.protectOut;
    case 'load':
      return loadText(texts, event);
    case 'ammeter':
      return String(event.readingMa);
    case 'length':
      return String(event.scaleCm);
    case 'reject':
      return [event.null, event.reason ?? ''].join(' ').trim();
    case 'restore':
      return event.null;
    case 'assign':
      return assignment(texts, event);
    case 'undo':
      return String(event.event);
    case 'link':
      return event.up ? '●' : '✕';
    case 'note':
      return event.text;
    case 'results':
      return event.hidden ? texts.hidden.kept : texts.hidden.told;
    case 'room':
      return event.room;
    case 'procedure':
      return texts.setup.procedures[event.procedure];
    default:
      return '';
  }
}

function loadText(texts: Texts, { in: isIn, ohm, uOhm }: Extract<RunEvent, { kind: 'load' }>): string {
  const describe = isIn ? texts.labels.loadIn : texts.labels.loadOut;
  if (ohm === undefined) return describe;
  return `${describe} (${ohm}${uOhm === undefined ? '' : ` ± ${uOhm}`} Ω)`;
}

function assignment(texts: Texts, event: Extract<RunEvent, { kind: 'assign' }>): string {
  const parts: [string, number | undefined][] = [
    [texts.labels.cell, event.cell],
    [texts.labels.row, event.row],
    [texts.labels.set, event.set],
  ];
  const entry = parts.filter(([, value]) => value !== undefined).map(([name, value]) => `${name} ${value}`);
  return `${event.null}: ${entry.join(', ')}`;
}

function NoteForm() {
  const texts = useTexts();
  const recordEvent = useRecordEvent();
  const [text, setText] = useState('');
  const submit = (event: Event) => {
    event.preventDefault();
    if (text.trim() === '') return;
    recordEvent({ kind: 'note', text: text.trim() });
    setText('');
  };
  return (
    <form class="inline-form" onSubmit={submit}>
      <label>
        {texts.history.note}
        <input value={text} maxLength={1000} onInput={(event) => setText(event.currentTarget.value)} />
      </label>
      <button type="submit">{texts.history.addNote}</button>
    </form>
  );
}
