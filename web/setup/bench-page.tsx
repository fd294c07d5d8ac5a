import { useEffect, useState } from 'preact/hooks';
import type { BenchEntry } from '../../bridge/serve/messages.ts';
import { writeAddress } from '../app/address.ts';
import { useApp, useMaySteer, usePage } from '../app/app-context.ts';
import { fetchFrom, postTo } from '../app/desk-client.ts';
import { CautionList } from '../run/cautions.tsx';
import { typedNumber } from '../run/typed-length.tsx';
import { useTexts } from '../texts/texts.ts';
import { Cells } from './cells.tsx';
import { at, BLANK, type DraftTools, useDraft } from './draft.ts';
import { Group, NumberField, TextField } from './fields.tsx';
import { Galvanometer } from './galvanometer.tsx';
import { Position } from './position.tsx';
import { type Source, SourceChoice, useSource } from './source.tsx';

/** A technician's page: describes a bench, calibrates it, saves it, and begins a run on it. */
export function BenchPage() {
  const texts = useTexts();
  const maySteer = useMaySteer();
  const tools = useDraft();
  const source = useSource();
  const [file, setFile] = useState('');
  if (!maySteer) return <p class="panel">{texts.connection.watching}</p>;
  return (
    <div class="setup">
      <details class="panel" open>
        <summary>
          <h2>{texts.cautions.heading}</h2>
        </summary>
        <CautionList />
      </details>
      <BenchFiles tools={tools} file={file} setFile={setFile} />
      <SourceChoice source={source} />
      <Wire tools={tools} />
      <Position tools={tools} source={source} />
      <Galvanometer tools={tools} source={source} />
      <Meters tools={tools} />
      <Cells tools={tools} />
      <Save tools={tools} file={file} setFile={setFile} />
      <StartRun file={file} source={source} />
    </div>
  );
}

interface FileProps {
  tools: DraftTools;
  file: string;
  setFile: (file: string) => void;
}

/** Begin from a bench file, from the run shown, or from nothing. */
function BenchFiles({ tools, setFile }: FileProps) {
  const texts = useTexts();
  const { store } = useApp();
  const shown = usePage((state) => state.view?.bench ?? null);
  const [benches, setBenches] = useState<BenchEntry[]>([]);
  useEffect(() => {
    void fetchFrom('benches').then((answer) => answer.ok && setBenches(answer.benches));
  }, []);
  const open = async (name: string) => {
    const answer = await fetchFrom('bench', { file: name });
    if (!answer.ok) return store.notify(answer);
    tools.replace(answer.bench);
    setFile(name);
  };
  return (
    <section class="panel setup-group">
      <h2>{texts.setup.begin}</h2>
      <div class="fields">
        <button type="button" onClick={() => tools.replace(BLANK)}>
          {texts.setup.fromNothing}
        </button>
        {shown !== null && (
          <button type="button" onClick={() => tools.replace(structuredClone(shown))}>
            {texts.setup.fromRun(shown.name)}
          </button>
        )}
        {benches.map((bench) => (
          <button type="button" key={bench.file} onClick={() => open(bench.file)}>
            {texts.setup.fromFile(bench.file, bench.versions)}
          </button>
        ))}
      </div>
    </section>
  );
}

function Wire({ tools }: { tools: DraftTools }) {
  const texts = useTexts();
  return (
    <Group title={texts.setup.wire}>
      <TextField tools={tools} path="name" label={texts.setup.name} />
      <NumberField tools={tools} path="wire.rows" label={texts.setup.rows} />
      <NumberField tools={tools} path="wire.rowLengthCm" label={texts.setup.rowLength} unit="cm" />
      <NumberField tools={tools} path="wire.resistanceOhm" label={texts.setup.resistance} unit="Ω" />
      <label class="field">
        <span>{texts.setup.zeroEnd}</span>
        <select
          value={String(at(tools.draft, 'wire.zeroEnd') ?? 'left')}
          onChange={(event) => tools.set('wire.zeroEnd', event.currentTarget.value)}
        >
          <option value="left">{texts.setup.left}</option>
          <option value="right">{texts.setup.right}</option>
        </select>
      </label>
    </Group>
  );
}

function Meters({ tools }: { tools: DraftTools }) {
  const texts = useTexts();
  return (
    <Group title={texts.setup.meters}>
      <NumberField
        tools={tools}
        path="ammeter.milliampsPerCount"
        label={texts.setup.ammeterPerCount}
        unit="mA"
      />
      <NumberField tools={tools} path="ammeter.zeroCounts" label={texts.setup.ammeterZero} />
      <NumberField tools={tools} path="ammeter.leastCountMa" label={texts.setup.ammeterLeast} unit="mA" />
      <NumberField tools={tools} path="ammeter.rangeMa" label={texts.setup.ammeterRange} unit="mA" />
      <NumberField
        tools={tools}
        path="ammeter.zeroCorrectionMa"
        label={texts.setup.ammeterCorrection}
        unit="mA"
      />
      <NumberField tools={tools} path="voltmeter.rangeV" label={texts.setup.voltmeterRange} unit="V" />
      <NumberField tools={tools} path="voltmeter.leastCountV" label={texts.setup.voltmeterLeast} unit="V" />
    </Group>
  );
}

const fileNameFor = (name: unknown): string => {
  const stem = String(name ?? '')
    .toLowerCase()
    .replace(/[^a-z0-9]+/g, '-')
    .replace(/^-|-$/g, '');
  return `${stem === '' ? 'bench' : stem}.json`;
};

/** Saved whole, with what stood there before kept; put in force at once where a live run is shown. */
function Save({ tools, file, setFile }: FileProps) {
  const texts = useTexts();
  const live = usePage((state) =>
    state.sessions.find((one) => one.id === state.session && one.kind !== 'replay'),
  );
  const [words, setWords] = useState('');
  const name = file === '' ? fileNameFor(tools.draft.name) : file;
  const save = async (event: Event) => {
    event.preventDefault();
    const answer = await postTo('save', { file: name, bench: tools.draft, run: live?.id ?? null });
    if (answer.ok) setFile(answer.saved);
    setWords(answer.ok ? `✓ ${texts.setup.saved(answer.saved)}` : `▲ ${answer.text}`);
  };
  return (
    <section class="panel setup-group">
      <h2>{texts.setup.saveHeading}</h2>
      <form class="fields" onSubmit={save}>
        <label class="field">
          <span>{texts.setup.fileName}</span>
          <input value={name} onInput={(event) => setFile(event.currentTarget.value)} />
        </label>
        <button type="submit" class="main-action">
          {texts.setup.save}
        </button>
      </form>
      <p role="status" class="save-words" data-testid="saved">
        {words}
      </p>
      {live !== undefined && <p class="quiet">{texts.setup.inForce(live.title)}</p>}
    </section>
  );
}

function StartRun({ file, source }: { file: string; source: Source }) {
  const texts = useTexts();
  const { store, connection } = useApp();
  const [by, setBy] = useState('');
  const [temperature, setTemperature] = useState('');
  const [procedure, setProcedure] = useState('emf-comparison');
  const start = async (event: Event) => {
    event.preventDefault();
    const names = by.split(',').map((name) => name.trim());
    const answer = await postTo('start', {
      port: source.port,
      baud: source.baud,
      file,
      by: names.filter((name) => name !== ''),
      temperatureC: typedNumber(temperature),
      procedure,
    });
    if (!answer.ok) return store.notify(answer);
    connection.open(answer.session);
    writeAddress({ tab: 'run', run: answer.session });
  };
  return (
    <section class="panel setup-group">
      <h2>{texts.setup.startHeading}</h2>
      <form class="fields" onSubmit={start}>
        <label class="field">
          <span>{texts.setup.by}</span>
          <input value={by} maxLength={200} onInput={(event) => setBy(event.currentTarget.value)} />
        </label>
        <label class="field">
          <span>{texts.setup.temperature} / °C</span>
          <input
            inputMode="decimal"
            value={temperature}
            onInput={(event) => setTemperature(event.currentTarget.value)}
          />
        </label>
        <label class="field">
          <span>{texts.setup.procedure}</span>
          <select value={procedure} onChange={(event) => setProcedure(event.currentTarget.value)}>
            <option value="emf-comparison">{texts.setup.comparison}</option>
            <option value="internal-resistance">{texts.setup.internalResistance}</option>
          </select>
        </label>
        <button type="submit" class="main-action" disabled={file === '' || source.port === ''}>
          {texts.setup.start}
        </button>
      </form>
      <p class="quiet">{texts.setup.startHow}</p>
    </section>
  );
}
