import { useEffect, useState } from 'preact/hooks';
import type { BoardCounts, Said } from '../../bridge/serve/messages.ts';
import { useApp, usePage } from '../app/app-context.ts';
import { fetchFrom, postTo } from '../app/desk-client.ts';
import { useTexts } from '../texts/texts.ts';

const LOOK_MS = 250;
const BAUDS = [115200, 230400, 250000, 500000, 1000000];

/** Where counts come from: a run that is on, or a port opened for set-up alone. */
export interface Source {
  from: string;
  setFrom: (from: string) => void;
  port: string;
  setPort: (port: string) => void;
  baud: number;
  setBaud: (baud: number) => void;
  counts: BoardCounts | null;
  /** What is known of the link, or why there are no counts. */
  link: Said | null;
}

export function useSource(): Source {
  const session = usePage((state) => state.session);
  const [from, setFrom] = useState(session ?? '');
  const [port, setPort] = useState('');
  const [baud, setBaud] = useState(115200);
  const [counts, setCounts] = useState<BoardCounts | null>(null);
  const [link, setLink] = useState<Said | null>(null);
  useEffect(() => {
    if (from === '') return;
    const look = async () => {
      const answer = await fetchFrom('counts', { from });
      setCounts(answer.ok ? answer.counts : null);
      setLink(answer.ok ? answer.link : answer);
    };
    void look();
    const timer = setInterval(look, LOOK_MS);
    return () => clearInterval(timer);
  }, [from]);
  return { from, setFrom, port, setPort, baud, setBaud, counts, link };
}

export function SourceChoice({ source }: { source: Source }) {
  const texts = useTexts();
  const { store } = useApp();
  const [ports, setPorts] = useState<{ path: string; about: string }[]>([]);
  const look = async () => {
    const answer = await fetchFrom('ports');
    if (answer.ok) setPorts(answer.ports);
  };
  useEffect(() => {
    void look();
  }, []);
  const listen = async (event: Event) => {
    event.preventDefault();
    const answer = await postTo('listen', { port: source.port, baud: source.baud });
    if (answer.ok) source.setFrom('set-up');
    else store.notify(answer);
  };
  return (
    <section class="panel setup-group">
      <h2>{texts.setup.port}</h2>
      <form class="fields" onSubmit={listen}>
        <label class="field">
          <span>{texts.setup.portPath}</span>
          <input
            list="ports"
            value={source.port}
            onInput={(event) => source.setPort(event.currentTarget.value)}
          />
        </label>
        <datalist id="ports">
          {ports.map((port) => (
            <option key={port.path} value={port.path}>
              {port.about}
            </option>
          ))}
        </datalist>
        <label class="field">
          <span>{texts.setup.baud}</span>
          <select value={source.baud} onChange={(event) => source.setBaud(Number(event.currentTarget.value))}>
            {BAUDS.map((baud) => (
              <option key={baud} value={baud}>
                {baud}
              </option>
            ))}
          </select>
        </label>
        <button type="submit" disabled={source.port === ''}>
          {texts.setup.listen}
        </button>
        <button type="button" onClick={look}>
          {texts.setup.lookAgain}
        </button>
      </form>
      <p class="quiet">
        {ports.length === 0 ? texts.setup.noPorts : ports.map((port) => port.about).join(' · ')}
      </p>
      <BoardAnswer source={source} />
    </section>
  );
}

function BoardAnswer({ source }: { source: Source }) {
  const texts = useTexts();
  const { counts, link } = source;
  const board = counts?.board ?? null;
  return (
    <div class="board-answer" data-testid="board-answer">
      <p>
        {board === null ? (
          <>○ {texts.setup.noAnswer}</>
        ) : (
          <>● {texts.setup.answers(board.name, board.firmware, board.rateHz)}</>
        )}{' '}
        <span class="quiet">
          {link !== null && (board === null || source.from === 'set-up') ? texts.said(link) : ''}
        </span>
      </p>
      {counts !== null && (
        <dl class="figures counts">
          {(['pos', 'gal', 'drv'] as const).map((channel) => (
            <div key={channel}>
              <dt>{texts.setup.channels[channel]}</dt>
              <dd class="tabular">{counts[channel] ?? '–'}</dd>
            </div>
          ))}
          <div>
            <dt>{texts.readout.jockey}</dt>
            <dd>
              {counts.contact === null ? '–' : counts.contact ? texts.readout.touching : texts.readout.lifted}
            </dd>
          </div>
        </dl>
      )}
    </div>
  );
}
