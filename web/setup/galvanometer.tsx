import { useState } from 'preact/hooks';
import { useApp } from '../app/app-context.ts';
import { postTo } from '../app/desk-client.ts';
import { significant } from '../app/format.ts';
import { typedNumber } from '../run/typed-length.tsx';
import { useTexts } from '../texts/texts.ts';
import { at, type DraftTools } from './draft.ts';
import { Group, NumberField } from './fields.tsx';
import type { Source } from './source.tsx';

/** Zero from the lifted jockey, scale from a known current or from the front end, direction from end A. */
export function Galvanometer({ tools, source }: { tools: DraftTools; source: Source }) {
  const texts = useTexts();
  return (
    <Group title={texts.setup.galvanometer} note={texts.setup.galvanometerHow}>
      <div class="fields field-row">
        <NumberField tools={tools} path="galvanometer.zeroCounts" label={texts.setup.zeroCounts} />
        <HoldZero tools={tools} source={source} />
      </div>
      <div class="fields field-row">
        <NumberField
          tools={tools}
          path="galvanometer.microampsPerCount"
          label={texts.setup.perCount}
          unit="µA"
        />
        <KnownCurrent tools={tools} source={source} />
        <FrontEnd tools={tools} />
      </div>
      <Direction tools={tools} source={source} />
      <NumberField tools={tools} path="galvanometer.resistanceOhm" label={texts.setup.resistance} unit="Ω" />
      <NumberField tools={tools} path="protectiveResistanceOhm" label={texts.labels.protect} unit="Ω" />
    </Group>
  );
}

interface Props {
  tools: DraftTools;
  source: Source;
}

function useHold(source: Source): () => Promise<number | null> {
  const { store } = useApp();
  return async () => {
    const answer = await postTo('hold', { from: source.from });
    if (!answer.ok) store.notify(answer);
    return answer.ok ? (answer.held.gal?.mean ?? null) : null;
  };
}

function HoldZero({ tools, source }: Props) {
  const texts = useTexts();
  const hold = useHold(source);
  const take = async () => {
    const counts = await hold();
    if (counts !== null) tools.set('galvanometer.zeroCounts', Math.round(counts * 100) / 100);
  };
  return (
    <button type="button" disabled={source.from === ''} onClick={take}>
      {texts.setup.takeZero}
    </button>
  );
}

function KnownCurrent({ tools, source }: Props) {
  const texts = useTexts();
  const hold = useHold(source);
  const { store } = useApp();
  const [known, setKnown] = useState('');
  const knownUa = typedNumber(known);
  const take = async (event: Event) => {
    event.preventDefault();
    const zeroCounts = at(tools.draft, 'galvanometer.zeroCounts');
    const counts = await hold();
    if (counts === null || knownUa === null || typeof zeroCounts !== 'number') return;
    const answer = await postTo('scale', { zeroCounts, counts, knownUa });
    if (answer.ok && answer.microampsPerCount !== null) setScale(tools, answer.microampsPerCount);
    else store.notify(answer.ok ? texts.setup.noDeflection : answer);
  };
  return (
    <form class="inline-form" onSubmit={take}>
      <label>
        {texts.setup.known} / µA
        <input inputMode="decimal" value={known} onInput={(event) => setKnown(event.currentTarget.value)} />
      </label>
      <button type="submit" disabled={knownUa === null || source.from === ''}>
        {texts.setup.takeScale}
      </button>
    </form>
  );
}

const setScale = (tools: DraftTools, microampsPerCount: number): void =>
  tools.set('galvanometer.microampsPerCount', Number(microampsPerCount.toPrecision(6)));

const PARTS = ['spanV', 'counts', 'gain', 'shuntOhm'] as const;

function FrontEnd({ tools }: { tools: DraftTools }) {
  const texts = useTexts();
  const { store } = useApp();
  const [parts, setParts] = useState<Record<string, string>>({
    spanV: '5',
    counts: '4096',
    gain: '',
    shuntOhm: '',
  });
  const numbers = PARTS.map((part) => typedNumber(parts[part]));
  const work = async (event: Event) => {
    event.preventDefault();
    const [spanV, counts, gain, shuntOhm] = numbers;
    const answer = await postTo('scale', { spanV, counts, gain, shuntOhm });
    if (answer.ok && answer.microampsPerCount !== null) setScale(tools, answer.microampsPerCount);
    else if (!answer.ok) store.notify(answer);
  };
  return (
    <details class="front-end">
      <summary>{texts.setup.frontEnd}</summary>
      <form class="inline-form" onSubmit={work}>
        {PARTS.map((part) => (
          <label key={part}>
            {texts.setup.frontEndParts[part]}
            <input
              inputMode="decimal"
              value={parts[part]}
              onInput={(event) => setParts({ ...parts, [part]: event.currentTarget.value })}
            />
          </label>
        ))}
        <button type="submit" disabled={numbers.some((number) => number === null || number <= 0)}>
          {texts.setup.workOut}
        </button>
      </form>
    </details>
  );
}

/** With the jockey at A, a rightly connected cell must deflect to the positive side. */
function Direction({ tools, source }: Props) {
  const texts = useTexts();
  const hold = useHold(source);
  const [words, setWords] = useState('');
  const scale = at(tools.draft, 'galvanometer.microampsPerCount');
  const zero = at(tools.draft, 'galvanometer.zeroCounts');
  const check = async () => {
    const counts = await hold();
    if (counts === null || typeof scale !== 'number' || typeof zero !== 'number') return;
    const moved = counts - zero;
    if (Math.abs(moved) < 3) return setWords(texts.setup.noDeflection);
    const positive = moved > 0 === scale > 0;
    if (!positive) tools.set('galvanometer.microampsPerCount', -scale);
    setWords(positive ? texts.setup.directionRight : texts.setup.directionTurned(significant(-scale, 3)));
  };
  return (
    <div class="direction">
      <button type="button" disabled={source.from === '' || typeof scale !== 'number'} onClick={check}>
        {texts.setup.checkDirection}
      </button>
      <p role="status">{words}</p>
    </div>
  );
}
