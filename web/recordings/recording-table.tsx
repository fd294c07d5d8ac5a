import { useState } from 'preact/hooks';
import { DASH, resultText } from '../../bridge/calc-core/rounding.ts';
import type { RecordingEntry } from '../../bridge/serve/page-protocol.ts';
import { refusalIn } from '../app/bench-setup-client.ts';
import type { Texts } from '../texts/en.ts';
import { useTexts } from '../texts/texts.ts';
import type { Said } from './summaries.ts';

interface Row {
  entry: RecordingEntry;
  /** Null until the bridge has said it. */
  said: Said | null;
}

interface TableProps {
  rows: Row[];
  chosen: string[];
  setChosen: (chosen: string[]) => void;
  replay: (file: string) => void;
}

const COLUMNS = ['when', 'who', 'bench', 'what', 'result', 'toLookInto', 'file'] as const;
type Name = (typeof COLUMNS)[number];
type Cells = Record<Name, string>;

interface Order {
  by: Name;
  up: boolean;
}

/** Sorted by any column, and filtered by what is typed. */
export function RecordingTable({ rows, chosen, setChosen, replay }: TableProps) {
  const texts = useTexts();
  const [wanted, setWanted] = useState('');
  const [order, setOrder] = useState<Order>({ by: 'when', up: false });
  const shown = rows
    .map((row) => ({ ...row, cells: cellsOf(texts, row) }))
    .filter(({ cells }) => holds(cells, wanted))
    .sort((a, b) => (order.up ? 1 : -1) * compared(order.by, a, b));
  const files = shown.map(({ cells }) => cells.file);
  const all = files.length > 0 && files.every((file) => chosen.includes(file));
  const choose = (some: string[], on: boolean) =>
    setChosen([...chosen.filter((file) => !some.includes(file)), ...(on ? some : [])]);
  return (
    <>
      <label class="recording-filter">
        {texts.recordings.filter}{' '}
        <input type="search" value={wanted} onInput={(event) => setWanted(event.currentTarget.value)} />
      </label>
      <table class="recording-table">
        <thead>
          <tr>
            <td>
              <input
                type="checkbox"
                aria-label={texts.recordings.chooseAll}
                checked={all}
                onChange={(event) => choose(files, event.currentTarget.checked)}
              />
            </td>
            {COLUMNS.map((name) => (
              <Heading key={name} name={name} order={order} setOrder={setOrder} />
            ))}
            <th scope="col">
              <span class="visually-hidden">{texts.recordings.replay}</span>
            </th>
          </tr>
        </thead>
        <tbody>
          {shown.map(({ said, cells }) => (
            <RecordingRow
              key={cells.file}
              cells={cells}
              isRead={said !== null}
              isChosen={chosen.includes(cells.file)}
              choose={(on) => choose([cells.file], on)}
              replay={() => replay(cells.file)}
            />
          ))}
        </tbody>
      </table>
    </>
  );
}

interface HeadingProps {
  name: Name;
  order: Order;
  setOrder: (order: Order) => void;
}

/** A press sorts by the column, another turns the order round; times begin with the newest. */
function Heading({ name, order, setOrder }: HeadingProps) {
  const texts = useTexts();
  const isBy = order.by === name;
  const next = { by: name, up: isBy ? !order.up : name !== 'when' };
  return (
    <th
      scope="col"
      class={`recording-${name}`}
      aria-sort={!isBy ? 'none' : order.up ? 'ascending' : 'descending'}
    >
      <button type="button" class="sort" onClick={() => setOrder(next)}>
        {headingOf(texts, name)}
        {isBy ? (order.up ? ' ▲' : ' ▼') : ''}
      </button>
    </th>
  );
}

interface RowProps {
  cells: Cells;
  isRead: boolean;
  isChosen: boolean;
  choose: (on: boolean) => void;
  replay: () => void;
}

function RecordingRow({ cells, isRead, isChosen, choose, replay }: RowProps) {
  const { choose: chooseText, replay: replayText } = useTexts().recordings;
  const { file } = cells;
  return (
    <tr aria-busy={!isRead}>
      <td>
        <input
          type="checkbox"
          aria-label={`${chooseText} ${file}`}
          checked={isChosen}
          onChange={(event) => choose(event.currentTarget.checked)}
        />
      </td>
      {COLUMNS.map((name) =>
        name === 'file' ? (
          <th scope="row" key={name} class={`recording-${name}`}>
            {file}
          </th>
        ) : (
          <td key={name} class={`recording-${name}`}>
            {cells[name]}
          </td>
        ),
      )}
      <td>
        <button type="button" aria-label={`${replayText} ${file}`} onClick={replay}>
          {replayText}
        </button>
      </td>
    </tr>
  );
}

const headingOf = ({ recordings, tabs, result }: Texts, name: Name): string =>
  name === 'bench' ? tabs.bench : name === 'result' ? result.heading : recordings[name];

function cellsOf(texts: Texts, { entry, said }: Row): Cells {
  const file = entry.file;
  const written = localTime(entry.writtenMs);
  const bare = { when: written, who: DASH, bench: DASH, result: DASH, toLookInto: '', file };
  if (said === null) return { ...bare, what: texts.recordings.unread };
  if ('ok' in said) return { ...bare, what: refusalIn(texts, said) };
  const { by, startedUtc, bench, measurand, procedure, result, stops, warnings } = said;
  const begun = Date.parse(startedUtc);
  return {
    when: Number.isNaN(begun) ? written : localTime(begun),
    who: by || DASH,
    bench: bench || DASH,
    what: measurand === null ? texts.setup.procedures[procedure] : texts.localise(measurand),
    result: result === null ? DASH : resultText(result),
    toLookInto: [
      ...(stops === 0 ? [] : [texts.recordings.stops(stops)]),
      ...(warnings === 0 ? [] : [String(warnings)]),
    ].join(', '),
    file,
  };
}

/** As ISO 8601 writes it, so that it sorts as text. */
function localTime(ms: number): string {
  const at = new Date(ms - new Date(ms).getTimezoneOffset() * 60_000);
  return at.toISOString().slice(0, 16).replace('T', ' ');
}

const holds = (cells: Cells, wanted: string): boolean =>
  wanted
    .toLowerCase()
    .split(/\s+/)
    .every((word) => Object.values(cells).some((text) => text.toLowerCase().includes(word)));

type Shown = Row & { cells: Cells };

function compared(by: Name, a: Shown, b: Shown): number {
  if (by === 'result') return resultOf(a) - resultOf(b);
  return a.cells[by].localeCompare(b.cells[by], undefined, { numeric: true });
}

/** Those without a result stand together. */
const resultOf = ({ said }: Row): number =>
  said !== null && !('ok' in said) && said.result !== null ? said.result.value : Number.MIN_SAFE_INTEGER;
