import { useEffect } from 'preact/hooks';
import type { RunEvent, SessionView } from '../../bridge/serve/page-protocol.ts';
import { useApp } from '../app/app-context.ts';
import { useTexts } from '../texts/texts.ts';
import { namedLoad } from './bench-labels.tsx';
import { lastToUndo } from './history.tsx';

/** What a key says of the bench; null for a key that says nothing now. */
export function eventOfKey(key: string, view: SessionView): RunEvent | null {
  const { labels } = view;
  const rows = view.bench?.wire.rows ?? 20;
  switch (key.toLowerCase()) {
    case '1':
      return labels.cell.from === 'board' ? null : { kind: 'cell', cell: 1 };
    case '2':
      return labels.cell.from === 'board' ? null : { kind: 'cell', cell: 2 };
    case 'arrowup':
      return rowEvent(labels.row, 1, rows);
    case 'arrowdown':
      return rowEvent(labels.row, -1, rows);
    case 'p':
      return labels.protect.from === 'board' ? null : { kind: 'protect', in: !labels.protect.value };
    case 'r':
      return loadEvent(view);
    case 's':
      return { kind: 'set', set: labels.set.value + 1 };
    case 'u':
      return undoEvent(view);
    default:
      return null;
  }
}

function rowEvent(row: SessionView['labels']['row'], step: number, rows: number): RunEvent | null {
  if (row.from === 'board') return null;
  const next = row.value === null ? 1 : row.value + step;
  return next >= 1 && next <= rows ? { kind: 'row', row: next } : null;
}

function loadEvent(view: SessionView): RunEvent | null {
  const { load } = view.labels;
  if (view.work.procedure !== 'internal-resistance' || load.from === 'board') return null;
  return { kind: 'load', in: !load.value, ...namedLoad(view) };
}

function undoEvent(view: SessionView): RunEvent | null {
  const number = lastToUndo(view.events);
  return number === null ? null : { kind: 'undo', event: number };
}

/** Keys act on the bench only while nothing else wants them: no field, no button row, no key of the browser. */
function isForUs(event: KeyboardEvent): boolean {
  if (event.ctrlKey || event.metaKey || event.altKey || event.repeat || event.defaultPrevented) return false;
  const target = event.target as HTMLElement | null;
  return target?.closest('input, select, textarea, dialog') === null;
}

export interface OtherKeys {
  typeLength(): void;
  rejectNewest(): void;
}

export function useKeys(on: boolean, mayRecord: boolean, other: OtherKeys): void {
  const { store, connection } = useApp();
  useEffect(() => {
    if (!on || !mayRecord) return;
    const press = (event: KeyboardEvent) => {
      const view = store.state.view;
      if (view === null || !isForUs(event)) return;
      const key = event.key.toLowerCase();
      const asked = eventOfKey(event.key, view);
      if (asked !== null) connection.recordEvent(asked);
      else if (key === 'l') other.typeLength();
      else if (key === 'x') other.rejectNewest();
      else return;
      event.preventDefault();
    };
    addEventListener('keydown', press);
    return () => removeEventListener('keydown', press);
  });
}

export function KeyList({ on, setOn }: { on: boolean; setOn: (on: boolean) => void }) {
  const texts = useTexts();
  return (
    <details class="panel keys">
      <summary>
        <h2>{texts.keys.heading}</h2>
      </summary>
      <label class="check">
        <input type="checkbox" checked={on} onChange={(event) => setOn(event.currentTarget.checked)} />{' '}
        {texts.keys.on}
      </label>
      <dl>
        {texts.keys.list.map(([key, meaning]) => (
          <div key={key}>
            <dt>
              <kbd>{key}</kbd>
            </dt>
            <dd>{meaning}</dd>
          </div>
        ))}
      </dl>
    </details>
  );
}
