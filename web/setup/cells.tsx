import { useTexts } from '../texts/texts.ts';
import { at } from './draft.ts';
import type { DraftTools } from './draft-tools.ts';
import { Group, NumberField, TextField } from './fields.tsx';

const WESTON = ['hamer-1972', 'older-international'] as const;

/** Driver and cells: voltmeter readings, or the EMF of a cell that no voltmeter may touch. */
export function Cells({ tools }: { tools: DraftTools }) {
  const texts = useTexts();
  return (
    <Group title={texts.setup.cells} note={texts.setup.cellsHow}>
      <NumberField tools={tools} path="driver.emfV" label={texts.setup.driverEmf} unit="V" />
      {([1, 2] as const).map((cell) => (
        <Cell key={cell} tools={tools} cell={cell} />
      ))}
    </Group>
  );
}

function Cell({ tools, cell }: { tools: DraftTools; cell: 1 | 2 }) {
  const texts = useTexts();
  const isReference = at(tools.draft, `cells.${cell}.reference`) !== undefined;
  return (
    <div class="fields">
      <TextField tools={tools} path={`cells.${cell}.label`} label={texts.labels.cellName(cell)} />
      <KindOfCell tools={tools} cell={cell} />
      {isReference ? (
        <ReferenceFields tools={tools} cell={cell} />
      ) : (
        <NumberField
          tools={tools}
          path={`cells.${cell}.voltmeterV`}
          label={texts.setup.cellVoltmeter(cell)}
          unit="V"
        />
      )}
    </div>
  );
}

function KindOfCell({ tools, cell }: { tools: DraftTools; cell: 1 | 2 }) {
  const texts = useTexts();
  const path = `cells.${cell}.reference`;
  const formula = at(tools.draft, `${path}.weston.formula`);
  const present = at(tools.draft, path) === undefined ? '' : typeof formula === 'string' ? formula : 'known';
  const choose = (kind: string) => {
    if (kind === '') return tools.set(path, undefined);
    tools.set(`cells.${cell}.voltmeterV`, undefined);
    if (kind === 'known') tools.set(`${path}.weston`, undefined);
    else tools.set(`${path}.weston.formula`, kind);
  };
  return (
    <label class="field">
      <span>{texts.setup.cellKind(cell)}</span>
      <select data-path={path} value={present} onChange={(event) => choose(event.currentTarget.value)}>
        <option value="">{texts.setup.ordinary}</option>
        <option value="known">{texts.setup.reference}</option>
        {WESTON.map((name) => (
          <option key={name} value={name}>
            {texts.setup.weston[name]}
          </option>
        ))}
      </select>
    </label>
  );
}

function ReferenceFields({ tools, cell }: { tools: DraftTools; cell: 1 | 2 }) {
  const texts = useTexts();
  const path = `cells.${cell}.reference`;
  const isWeston = at(tools.draft, `${path}.weston`) !== undefined;
  return (
    <>
      <NumberField
        tools={tools}
        path={`${path}.emfV`}
        label={isWeston ? texts.setup.emfAt20 : texts.setup.emf}
        unit="V"
      />
      <NumberField tools={tools} path={`${path}.standardUncertaintyV`} label={texts.setup.uEmf} unit="V" />
      {isWeston && (
        <>
          <NumberField
            tools={tools}
            path={`${path}.weston.temperatureC`}
            label={texts.setup.cellTemperature}
            unit="°C"
          />
          <NumberField
            tools={tools}
            path={`${path}.weston.standardUncertaintyC`}
            label={texts.setup.uCellTemperature}
            unit="°C"
          />
        </>
      )}
      <ul class="caution-list">
        {texts.cautions.reference.map((text) => (
          <li key={text}>{text}</li>
        ))}
      </ul>
    </>
  );
}
