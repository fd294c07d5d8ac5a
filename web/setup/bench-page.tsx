import { useSteers } from '../app/app-context.ts';
import { CautionList } from '../run/cautions.tsx';
import { useTexts } from '../texts/texts.ts';
import { BenchFiles } from './bench-files.tsx';
import { Cells } from './cells.tsx';
import { at } from './draft.ts';
import { type DraftTools, useDraft } from './draft-tools.ts';
import { Errors } from './errors.tsx';
import { Group, NumberField, TextField } from './fields.tsx';
import { Galvanometer } from './galvanometer.tsx';
import { Position } from './position.tsx';
import { Save } from './save.tsx';
import { SourceChoice, useCountsSource } from './source.tsx';
import { StartRun } from './start-run.tsx';

/** A technician's page: describes a bench, calibrates it, saves it, and begins a run on it. */
export function BenchPage() {
  const texts = useTexts();
  const steers = useSteers();
  const tools = useDraft();
  const source = useCountsSource();
  if (!steers) return <p class="panel">{texts.connection.watching}</p>;
  return (
    <div class="setup">
      <details class="panel" open>
        <summary>
          <h2>{texts.cautions.heading}</h2>
        </summary>
        <CautionList />
      </details>
      <BenchFiles tools={tools} />
      <SourceChoice source={source} />
      <Wire tools={tools} />
      <Position tools={tools} source={source} />
      <Galvanometer tools={tools} source={source} />
      <Meters tools={tools} />
      <Cells tools={tools} />
      <Errors tools={tools} />
      <Save tools={tools} />
      <StartRun tools={tools} source={source} />
    </div>
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
