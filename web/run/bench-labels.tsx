import type { ComponentChildren } from 'preact';
import type { SessionView } from '../../bridge/serve/page-protocol.ts';
import { useMayRecord, useRecordEvent, useView } from '../app/app-context.ts';
import { useHeld } from '../app/held.ts';
import { useTexts } from '../texts/texts.ts';
import { CellMark, cellText } from './readout.tsx';
import { typedNumber } from './typed-length.tsx';

type From = SessionView['labels']['cell']['from'];

/** Cell, row, protective resistance, set: sensed ones are told, the others are one press each. */
export function BenchLabels() {
  const view = useView();
  const texts = useTexts();
  if (view === null) return null;
  return (
    <section class="labels" aria-label={texts.labels.heading}>
      <CellLabel view={view} />
      <RowLabel view={view} />
      <ProtectLabel view={view} />
      <SetLabel view={view} />
      {view.work.procedure === 'internal-resistance' && <LoadLabel view={view} />}
    </section>
  );
}

function Label(props: { name: string; from: From; value: ComponentChildren; children?: ComponentChildren }) {
  const texts = useTexts();
  return (
    <fieldset class="label">
      <legend>{props.name}</legend>
      <div class="label-value">
        {props.value} <small class="quiet">{texts.labels.from[props.from]}</small>
      </div>
      {props.children !== undefined && <div class="label-keys">{props.children}</div>}
    </fieldset>
  );
}

/** Buttons only where the board can't sense it and this page may say it. */
const useAsked = (from: From): boolean => useMayRecord() && from !== 'board';

function CellLabel({ view }: { view: SessionView }) {
  const texts = useTexts();
  const recordEvent = useRecordEvent();
  const { value, from } = view.labels.cell;
  const asked = useAsked(from);
  const shown = (
    <>
      <CellMark cell={value} /> {value === null ? '–' : cellText(texts, value)}
    </>
  );
  return (
    <Label name={texts.labels.cell} from={from} value={shown}>
      {asked &&
        ([1, 2] as const).map((cell) => (
          <button
            key={cell}
            type="button"
            aria-pressed={value === cell}
            aria-label={texts.labels.cellName(cell)}
            onClick={() => recordEvent({ kind: 'cell', cell })}
          >
            {cell}
          </button>
        ))}
    </Label>
  );
}

function RowLabel({ view }: { view: SessionView }) {
  const texts = useTexts();
  const recordEvent = useRecordEvent();
  const { value, from } = view.labels.row;
  const asked = useAsked(from);
  const rows = view.bench?.wire.rows ?? 10;
  const go = (row: number) => recordEvent({ kind: 'row', row: Math.min(rows, Math.max(1, row)) });
  return (
    <Label name={texts.labels.row} from={from} value={value ?? '–'}>
      {asked && (
        <>
          <button type="button" aria-label={texts.labels.rowDown} onClick={() => go((value ?? 2) - 1)}>
            −
          </button>
          <button type="button" aria-label={texts.labels.rowUp} onClick={() => go((value ?? 0) + 1)}>
            +
          </button>
        </>
      )}
    </Label>
  );
}

function ProtectLabel({ view }: { view: SessionView }) {
  const texts = useTexts();
  const recordEvent = useRecordEvent();
  const { value, from } = view.labels.protect;
  const asked = useAsked(from);
  const shown = (
    <>
      <ProtectMark isIn={value} /> {value ? texts.labels.protectIn : texts.labels.protectOut}
    </>
  );
  const known = from !== 'unknown';
  return (
    <Label name={texts.labels.protect} from={from} value={known ? shown : '–'}>
      {asked &&
        [true, false].map((wanted) => (
          <button
            key={String(wanted)}
            type="button"
            aria-pressed={value === wanted && known}
            onClick={() => recordEvent({ kind: 'protect', in: wanted })}
          >
            {wanted ? texts.labels.protectIn : texts.labels.protectOut}
          </button>
        ))}
    </Label>
  );
}

/** A resistor in its branch, or a plain wire. */
const ProtectMark = ({ isIn }: { isIn: boolean }) => (
  <svg class="protect-mark" viewBox="0 0 30 12" aria-hidden="true">
    {isIn ? <path d="M0 6h7M23 6h7M7 2h16v8H7z" /> : <path d="M0 6h30" />}
  </svg>
);

/** Where a change of the driver current begins a set, the button only makes one too many; another load begins none by itself. */
function SetLabel({ view }: { view: SessionView }) {
  const texts = useTexts();
  const recordEvent = useRecordEvent();
  const mayRecord = useMayRecord();
  const { value, from } = view.labels.set;
  return (
    <Label name={texts.labels.set} from={from} value={value}>
      {mayRecord && (from !== 'board' || view.next.do === 'change-load') && (
        <button type="button" onClick={() => recordEvent({ kind: 'set', set: value + 1 })}>
          {texts.labels.nextSet}
        </button>
      )}
    </Label>
  );
}

/** The load's resistance as entered; an event about whether it is in has it again. */
export function namedLoad({ labels }: SessionView): { ohm?: number; uOhm?: number } {
  const { ohm, uOhm } = labels.load;
  return { ...(ohm === null ? {} : { ohm }), ...(uOhm === null ? {} : { uOhm }) };
}

/** Whether the load is in is sensed or entered; its resistance is always entered. */
function LoadLabel({ view }: { view: SessionView }) {
  const texts = useTexts();
  const recordEvent = useRecordEvent();
  const mayRecord = useMayRecord();
  const { value, from, ohm } = view.labels.load;
  const asked = useAsked(from);
  const state = value ? texts.labels.loadIn : texts.labels.loadOut;
  return (
    <Label name={texts.labels.load} from={from} value={ohm === null ? state : `${state} (${ohm} Ω)`}>
      {asked && (
        <button type="button" onClick={() => recordEvent({ kind: 'load', in: !value, ...namedLoad(view) })}>
          {value ? texts.labels.loadOut : texts.labels.loadIn}
        </button>
      )}
      {mayRecord && <LoadForm view={view} />}
    </Label>
  );
}

/** Resistance and uncertainty go into one event: the uncertainty of the load before must not get into it. */
function LoadForm({ view }: { view: SessionView }) {
  const texts = useTexts();
  const recordEvent = useRecordEvent();
  const { value, ohm, uOhm } = view.labels.load;
  const typed = useHeld({ ohm: String(ohm ?? ''), u: String(uOhm ?? '') });
  const number = typedNumber(typed.shown.ohm);
  const u = typedNumber(typed.shown.u);
  const soundU = typed.shown.u.trim() === '' || (u !== null && u >= 0);
  const submit = (event: Event) => {
    event.preventDefault();
    if (number === null) return;
    recordEvent({ kind: 'load', in: value, ohm: number, ...(u === null ? {} : { uOhm: u }) });
    typed.release();
  };
  return (
    <form class="label-keys load-form" onSubmit={submit}>
      <input
        class="load-ohm"
        inputMode="decimal"
        aria-label={texts.labels.loadOhm}
        value={typed.shown.ohm}
        // Another resistance has another uncertainty.
        onInput={(event) => typed.hold({ ohm: event.currentTarget.value, u: '' })}
      />
      ±
      <input
        class="load-ohm"
        inputMode="decimal"
        aria-label={texts.labels.loadU}
        value={typed.shown.u}
        onInput={(event) => typed.hold({ ...typed.shown, u: event.currentTarget.value })}
      />
      Ω
      <button type="submit" disabled={number === null || number <= 0 || !soundU}>
        {texts.nulls.save}
      </button>
    </form>
  );
}
