import { useEffect, useState } from 'preact/hooks';
import type { BoardCounts, Granted, Message } from '../../bridge/serve/page-protocol.ts';
import { SET_UP } from '../../bridge/session/session-registry.ts';
import { writeAddress } from '../app/address.ts';
import { useAnswers, useApp, usePage } from '../app/app-context.ts';
import { useAsk } from '../app/ask.ts';
import { postTo } from '../app/bench-setup-client.ts';
import { cellText } from '../run/readout.tsx';
import { useTexts } from '../texts/texts.ts';
import { useSetUp } from './set-up.ts';

/** By this name the bridge knows a port that is open without a run. */
const BAUDS = [115200, 230400, 250000, 500000, 1000000];

/** Where counts come from: a port opened for set-up alone, else the run shown. */
export interface CountsSource {
  /** Empty where there is neither. */
  from: string;
  listening: boolean;
  setListening: (listening: boolean) => void;
  port: string;
  setPort: (port: string) => void;
  baud: number;
  setBaud: (baud: number) => void;
  counts: BoardCounts | null;
  /** What is known of the link, or why there are no counts. */
  link: Message | null;
}

export function useCountsSource(): CountsSource {
  const session = usePage((state) => state.session);
  const { setUp, change } = useSetUp();
  const { port, baud, listening } = setUp;
  const { connection } = useApp();
  const from = listening ? SET_UP : (session ?? '');
  const followed = usePage((state) => state.counts);
  useEffect(() => {
    if (from === '') return;
    connection.followCounts(from);
    return () => connection.followCounts(null);
  }, [from]);
  return {
    from,
    listening,
    setListening: (on) => change(() => ({ listening: on })),
    port,
    setPort: (path) => change(() => ({ port: path })),
    baud,
    setBaud: (rate) => change(() => ({ baud: rate })),
    counts: followed?.counts ?? null,
    link: followed?.link ?? null,
  };
}

type Port = Granted<'ports'>['ports'][number];

/** The ports of the bridge's computer; `look` looks again. */
function usePorts(): { ports: Port[]; look: () => Promise<void> } {
  const [ports, setPorts] = useState<Port[]>([]);
  const look = async () => {
    const answer = await postTo('ports', {});
    if (answer.ok) setPorts(answer.ports);
  };
  const answers = useAnswers();
  useEffect(() => {
    void look();
  }, [answers]);
  return { ports, look };
}

export function SourceChoice({ source }: { source: CountsSource }) {
  const texts = useTexts();
  const ask = useAsk();
  const { connection } = useApp();
  const { ports, look } = usePorts();
  const listen = async (event: Event) => {
    event.preventDefault();
    const answer = await ask(postTo('listen', { port: source.port, baud: source.baud }));
    source.setListening(answer?.from === SET_UP);
    // A run of this bridge has the port: its counts are what was asked for.
    if (answer === null || answer.from === SET_UP) return;
    connection.open(answer.from);
    writeAddress({ run: answer.from });
  };
  const stop = async () => {
    await ask(postTo('end', { session: SET_UP }));
    source.setListening(false);
  };
  return (
    <section class="panel setup-group">
      <h2>{texts.setup.port}</h2>
      <form class="fields" onSubmit={listen}>
        <PortFields source={source} ports={ports} />
        <button type="submit" disabled={source.port === ''}>
          {texts.setup.listen}
        </button>
        {source.listening && (
          <button type="button" onClick={stop}>
            {texts.setup.stop}
          </button>
        )}
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

function PortFields({ source, ports }: { source: CountsSource; ports: Port[] }) {
  const texts = useTexts();
  return (
    <>
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
    </>
  );
}

function BoardAnswer({ source }: { source: CountsSource }) {
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
          {link !== null && (board === null || source.listening) ? texts.localise(link) : ''}
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
          <div>
            <dt>{texts.labels.row}</dt>
            <dd class="tabular">{counts.row ?? '–'}</dd>
          </div>
          <div>
            <dt>{texts.labels.cell}</dt>
            <dd>{counts.cell === null ? '–' : cellText(texts, counts.cell)}</dd>
          </div>
        </dl>
      )}
    </div>
  );
}

/** A channel's counts where they are needed: beside the button that takes them. */
export function LiveCounts({ source, channel }: { source: CountsSource; channel: 'pos' | 'gal' }) {
  const texts = useTexts();
  if (source.counts === null) return null;
  return (
    <span class="quiet tabular live-counts">
      {texts.setup.channels[channel]}: {source.counts[channel] ?? '–'}
    </span>
  );
}
