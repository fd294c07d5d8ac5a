import { useState } from 'preact/hooks';
import { significant } from '../../bridge/calc-core/rounding.ts';
import type { HeldReading } from '../../bridge/serve/page-protocol.ts';
import { useApp } from '../app/app-context.ts';
import { useAsk } from '../app/ask.ts';
import { postTo } from '../app/bench-setup-client.ts';
import { typedNumber } from '../run/typed-length.tsx';
import { useTexts } from '../texts/texts.ts';
import { at } from './draft.ts';
import type { DraftTools } from './draft-tools.ts';
import { Group, NumberField } from './fields.tsx';
import { type CountsSource, LiveCounts } from './source.tsx';

/** Zero from the lifted jockey, scale from a known current or from the front end, direction from end A. */
export function Galvanometer({ tools, source }: { tools: DraftTools; source: CountsSource }) {
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
  source: CountsSource;
}

/** What was amiss with a hold, for what it was meant for; null where nothing was. */
type Amiss = (held: HeldReading) => string | null;

/** Mean galvanometer counts of a hold; null where it was refused, or something was amiss with it. */
function useHold(source: CountsSource): (amiss: Amiss) => Promise<number | null> {
  const { store } = useApp();
  const ask = useAsk();
  const texts = useTexts();
  return async (amiss) => {
    const answer = await ask(postTo('hold', { from: source.from }));
    if (answer === null) return null;
    const { held } = answer;
    const trouble = held.steady ? amiss(held) : texts.setup.unsteady;
    if (trouble === null) return held.gal?.mean ?? null;
    store.notify(trouble);
    return null;
  };
}

function HoldZero({ tools, source }: Props) {
  const texts = useTexts();
  const hold = useHold(source);
  const take = async () => {
    const counts = await hold(({ contact }) => (contact === true ? texts.setup.liftFirst : null));
    if (counts !== null) tools.set('galvanometer.zeroCounts', Math.round(counts * 100) / 100);
  };
  return (
    <>
      <button type="button" disabled={source.from === ''} onClick={take}>
        {texts.setup.takeZero}
      </button>
      <LiveCounts source={source} channel="gal" />
    </>
  );
}

function KnownCurrent({ tools, source }: Props) {
  const texts = useTexts();
  const hold = useHold(source);
  const { store } = useApp();
  const ask = useAsk();
  const [known, setKnown] = useState('');
  const knownUa = typedNumber(known);
  const take = async (event: Event) => {
    event.preventDefault();
    const zeroCounts = at(tools.draft, 'galvanometer.zeroCounts');
    if (typeof zeroCounts !== 'number') return store.notify(texts.setup.zeroFirst);
    const counts = await hold(({ galSaturated }) => (galSaturated ? texts.setup.beyondSpan : null));
    if (counts === null || knownUa === null) return;
    const answer = await ask(postTo('scale', { zeroCounts, counts, knownUa }));
    if (answer === null) return;
    if (answer.microampsPerCount === null) store.notify(texts.setup.noDeflection);
    else setScale(tools, answer.microampsPerCount);
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
  const ask = useAsk();
  const [parts, setParts] = useState<Record<string, string>>({
    spanV: '5',
    counts: '4096',
    gain: '',
    shuntOhm: '',
  });
  const numbers = PARTS.map((part) => typedNumber(parts[part])).filter((number) => number !== null);
  const work = async (event: Event) => {
    event.preventDefault();
    const [spanV, counts, gain, shuntOhm] = numbers;
    const answer = await ask(postTo('scale', { spanV, counts, gain, shuntOhm }));
    if (answer !== null && answer.microampsPerCount !== null) setScale(tools, answer.microampsPerCount);
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
  const { store } = useApp();
  const [answer, setAnswer] = useState('');
  const scale = at(tools.draft, 'galvanometer.microampsPerCount');
  const zero = at(tools.draft, 'galvanometer.zeroCounts');
  const check = async () => {
    if (typeof scale !== 'number') return;
    if (typeof zero !== 'number') return store.notify(texts.setup.zeroFirst);
    const counts = await hold(({ contact, row }) => {
      if (contact === false) return texts.setup.putDown;
      return row === null || row === 0 || row === 1 ? null : texts.setup.otherRow(row);
    });
    if (counts === null) return;
    const moved = counts - zero;
    if (Math.abs(moved) < 3) return setAnswer(texts.setup.noDeflection);
    const positive = moved > 0 === scale > 0;
    if (!positive) tools.set('galvanometer.microampsPerCount', -scale);
    setAnswer(positive ? texts.setup.directionRight : texts.setup.directionTurned(significant(-scale, 3)));
  };
  return (
    <div class="direction">
      <button type="button" disabled={source.from === '' || typeof scale !== 'number'} onClick={check}>
        {texts.setup.checkDirection}
      </button>
      <p role="status">{answer}</p>
    </div>
  );
}
