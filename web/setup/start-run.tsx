import { useEffect, useState } from 'preact/hooks';
import { namesIn } from '../../bridge/run/about.ts';
import { DEFAULT_PROCEDURE, PROCEDURES, type Procedure } from '../../bridge/run/procedure.ts';
import type { RecordingEntry } from '../../bridge/serve/page-protocol.ts';
import { writeAddress } from '../app/address.ts';
import { useAnswers, useApp, usePage } from '../app/app-context.ts';
import { useAsk } from '../app/ask.ts';
import { postTo } from '../app/bench-setup-client.ts';
import { keptHead } from '../run/about-form.tsx';
import { typedNumber } from '../run/typed-length.tsx';
import { useTexts } from '../texts/texts.ts';
import type { DraftTools } from './draft-tools.ts';
import { EndRun } from './end-run.tsx';
import type { CountsSource } from './source.tsx';

interface Props {
  tools: DraftTools;
  source: CountsSource;
}

/** As many recordings as a hand wants to choose from; the list is the newest first. */
const MOST_OFFERED = 20;

/** Begins a run on the saved bench, with the board at the port chosen above; or goes on in a recording. */
export function StartRun({ tools, source }: Props) {
  const texts = useTexts();
  const [into, setInto] = useState('');
  const live = usePage((state) =>
    state.sessions.find((one) => one.id === state.session && one.kind === 'live'),
  );
  return (
    <section class="panel setup-group">
      <h2>{texts.setup.startHeading}</h2>
      {live !== undefined && <EndRun run={live} />}
      <Into into={into} setInto={setInto} />
      {into === '' ? <Begin tools={tools} source={source} /> : <GoOn file={into} source={source} />}
    </section>
  );
}

function Into({ into, setInto }: { into: string; setInto: (into: string) => void }) {
  const texts = useTexts();
  const answers = useAnswers();
  const [entries, setEntries] = useState<RecordingEntry[]>([]);
  useEffect(() => {
    void postTo('recordings', {}).then((answer) => answer.ok && setEntries(answer.recordings));
  }, [answers]);
  if (entries.length === 0) return null;
  return (
    <div class="fields">
      <label class="field">
        <span>{texts.setup.into}</span>
        <select value={into} onChange={(event) => setInto(event.currentTarget.value)}>
          <option value="">{texts.setup.intoNew}</option>
          {entries.slice(0, MOST_OFFERED).map(({ file }) => (
            <option key={file} value={file}>
              {texts.setup.intoOld(file)}
            </option>
          ))}
        </select>
      </label>
    </div>
  );
}

/** The run is shown; the port is its own from now on. */
function useBegun(source: CountsSource): (session: string) => void {
  const { connection } = useApp();
  return (session) => {
    source.setListening(false);
    connection.open(session);
    writeAddress({ tab: 'run', run: session });
  };
}

function GoOn({ file, source }: { file: string; source: CountsSource }) {
  const texts = useTexts();
  const ask = useAsk();
  const begun = useBegun(source);
  const { port, baud } = source;
  const resume = async (event: Event) => {
    event.preventDefault();
    const answer = await ask(postTo('resume', { port, baud, file }));
    if (answer !== null) begun(answer.session);
  };
  return (
    <form class="fields" onSubmit={resume}>
      <button type="submit" class="main-action" disabled={port === ''}>
        {texts.setup.goOn}
      </button>
      <p class="quiet">{port === '' ? texts.setup.goOnNeeds : texts.setup.goOnHow}</p>
    </form>
  );
}

const procedureOf = (name: string): Procedure => PROCEDURES.find((one) => one === name) ?? DEFAULT_PROCEDURE;

function Begin({ tools, source }: Props) {
  const texts = useTexts();
  const ask = useAsk();
  const begun = useBegun(source);
  const [by, setBy] = useState('');
  const [temperature, setTemperature] = useState('');
  const [procedure, setProcedure] = useState(DEFAULT_PROCEDURE);
  const { port, baud } = source;
  const changed = tools.file !== '' && !tools.saved;
  const lacks = !tools.saved || port === '';
  const lacking = changed ? texts.setup.saveFirst : lacks ? texts.setup.startHow : null;
  const temperatureC = typedNumber(temperature);
  const wrongTemperature = temperature.trim() !== '' && temperatureC === null;
  const start = async (event: Event) => {
    event.preventDefault();
    const head = keptHead(String(tools.draft.name ?? ''));
    const order = { port, baud, file: tools.file, by: namesIn(by), temperatureC, procedure, head };
    const answer = await ask(postTo('start', order));
    if (answer !== null) begun(answer.session);
  };
  return (
    <>
      <form class="fields" onSubmit={start}>
        <label class="field">
          <span>{texts.setup.by}</span>
          <input value={by} maxLength={200} onInput={(event) => setBy(event.currentTarget.value)} />
        </label>
        <label class="field">
          <span>{texts.setup.temperature} / °C</span>
          <input
            inputMode="decimal"
            aria-invalid={wrongTemperature}
            value={temperature}
            onInput={(event) => setTemperature(event.currentTarget.value)}
          />
        </label>
        <label class="field">
          <span>{texts.setup.procedure}</span>
          <select
            value={procedure}
            onChange={(event) => setProcedure(procedureOf(event.currentTarget.value))}
          >
            {PROCEDURES.map((one) => (
              <option key={one} value={one}>
                {texts.setup.procedures[one]}
              </option>
            ))}
          </select>
        </label>
        <button type="submit" class="main-action" disabled={lacks || wrongTemperature}>
          {texts.setup.start}
        </button>
      </form>
      {lacking !== null && <p class="quiet">{lacking}</p>}
    </>
  );
}
