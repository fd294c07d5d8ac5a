import type { HandOrder, HandState } from '../../bridge/serve/page-protocol.ts';
import { useApp, useMaySteer, useView } from '../app/app-context.ts';
import { useHeld } from '../app/held.ts';
import { useTexts } from '../texts/texts.ts';

const RHEOSTAT_OHM = [0.5, 1, 2, 3, 4, 6, 8, 10, 13, 16, 20];
const LOAD_OHM = [2, 5, 10, 20, 50];

/** The keys and switches of a simulated bench: where a real one has them, the page has these. */
export function HandPanel() {
  const view = useView();
  const texts = useTexts();
  const order = useHandOrders();
  if (view === null || view.hand === null || order === null) return null;
  return (
    <section class="panel hand" aria-labelledby="hand-heading">
      <h2 id="hand-heading">{texts.hand.heading}</h2>
      <Switches hand={view.hand} order={order} loaded={view.work.procedure === 'internal-resistance'} />
      <p class="quiet">{texts.hand.note}</p>
    </section>
  );
}

type Order = (what: HandOrder) => void;

/** Null for a page that may not steer. */
function useHandOrders(): Order | null {
  const { connection } = useApp();
  return useMaySteer() ? (what) => connection.send({ type: 'hand', order: what }) : null;
}

/** The jockey: at the foot of the screen, wherever the page is scrolled to. */
export function JockeyHand() {
  const view = useView();
  const texts = useTexts();
  const order = useHandOrders();
  if (view === null || view.hand === null || order === null) return null;
  const { rows, rowLengthCm } = view.bench?.wire ?? { rows: 10, rowLengthCm: 100 };
  const { to, down, pressed } = view.hand;
  return (
    <section class="jockey-hand" aria-label={texts.readout.jockey}>
      <TypedNumber
        name={texts.hand.row}
        value={to.row}
        least={1}
        most={rows}
        step={1}
        give={(row) => order({ to: { row } })}
      />
      <TypedNumber
        name={texts.hand.scale}
        value={to.scaleCm}
        least={0}
        most={rowLengthCm}
        step={0.1}
        give={(scaleCm) => order({ to: { scaleCm } })}
      />
      <Slider scaleCm={to.scaleCm} mostCm={rowLengthCm} order={order} />
      <button type="button" class="hand-press" onClick={() => order({ pressed: !down })}>
        {down ? texts.hand.lift : texts.hand.press}
      </button>
      <p class="hand-waits" role="status">
        {down !== pressed && texts.hand.waits}
      </p>
    </section>
  );
}

function Slider({ scaleCm, mostCm, order }: { scaleCm: number; mostCm: number; order: Order }) {
  const texts = useTexts();
  const drag = useHeld(scaleCm);
  return (
    <input
      class="hand-scale"
      type="range"
      min={0}
      max={mostCm}
      step={0.1}
      value={drag.shown}
      aria-label={texts.hand.scale}
      onInput={(event) => {
        const there = Number(event.currentTarget.value);
        drag.hold(there);
        order({ to: { scaleCm: there } });
      }}
      onChange={drag.release}
      onBlur={drag.release}
    />
  );
}

interface TypedProps {
  name: string;
  value: number;
  least: number;
  most: number;
  step: number;
  give: (value: number) => void;
}

/** A number that is typed, or stepped with the arrow keys; given on when it is done. */
function TypedNumber({ name, value, least, most, step, give }: TypedProps) {
  const typed = useHeld(String(Number(value.toFixed(2))));
  return (
    <label class="hand-line">
      <span>{name}</span>
      <input
        type="number"
        min={least}
        max={most}
        step={step}
        value={typed.shown}
        onInput={(event) => typed.hold(event.currentTarget.value)}
        onChange={(event) => {
          const number = Number(event.currentTarget.value);
          if (event.currentTarget.value !== '' && number >= least && number <= most) give(number);
          typed.release();
        }}
      />
    </label>
  );
}

interface SwitchesProps {
  hand: HandState;
  order: Order;
  loaded: boolean;
}

function Switches({ hand: { switches }, order, loaded }: SwitchesProps) {
  const texts = useTexts();
  const turn = (what: HandOrder['switches']) => order({ switches: what });
  const keyNames: Choices<boolean> = [
    [true, texts.hand.keyClosed],
    [false, texts.hand.keyOpen],
  ];
  const cellNames: Choices<1 | 2> = [
    [1, texts.labels.cellName(1)],
    [2, texts.labels.cellName(2)],
  ];
  const protectNames: Choices<boolean> = [
    [true, texts.labels.protectIn],
    [false, texts.labels.protectOut],
  ];
  return (
    <>
      <Switch
        name={texts.hand.key}
        at={switches.keyClosed}
        choices={keyNames}
        turn={(keyClosed) => turn({ keyClosed })}
      />
      <Switch name={texts.hand.cell} at={switches.cell} choices={cellNames} turn={(cell) => turn({ cell })} />
      <Switch
        name={texts.hand.protect}
        at={switches.protect}
        choices={protectNames}
        turn={(protect) => turn({ protect })}
      />
      {loaded && <LoadSwitches switches={switches} turn={turn} />}
      <Resistance
        name={texts.hand.rheostat}
        choices={RHEOSTAT_OHM}
        ohm={switches.rheostatOhm}
        give={(rheostatOhm) => turn({ rheostatOhm })}
      />
    </>
  );
}

interface LoadProps {
  switches: HandState['switches'];
  turn: (what: HandOrder['switches']) => void;
}

function LoadSwitches({ switches, turn }: LoadProps) {
  const texts = useTexts();
  const choices: Choices<boolean> = [
    [true, texts.labels.loadIn],
    [false, texts.labels.loadOut],
  ];
  return (
    <>
      <Switch name={texts.hand.load} at={switches.load} choices={choices} turn={(load) => turn({ load })} />
      {switches.loadOhm !== undefined && (
        <Resistance
          name={texts.labels.loadOhm}
          choices={LOAD_OHM}
          ohm={switches.loadOhm}
          give={(loadOhm) => turn({ loadOhm })}
        />
      )}
    </>
  );
}

interface ResistanceProps {
  name: string;
  choices: readonly number[];
  ohm: number;
  give: (ohm: number) => void;
}

function Resistance({ name, choices, ohm: present, give }: ResistanceProps) {
  return (
    <label class="hand-line">
      <span>{name}</span>
      <select value={present} onChange={(event) => give(Number(event.currentTarget.value))}>
        {[...new Set([...choices, present])]
          .sort((a, b) => a - b)
          .map((ohm) => (
            <option key={ohm} value={ohm}>
              {ohm}
            </option>
          ))}
      </select>
    </label>
  );
}

type Choices<Value> = [value: Value, name: string][];

interface SwitchProps<Value> {
  name: string;
  at: unknown;
  choices: Choices<Value>;
  turn: (value: Value) => void;
}

/** A button for each position of a switch. */
function Switch<Value>({ name, at, choices, turn }: SwitchProps<Value>) {
  return (
    <fieldset class="hand-line">
      <legend>{name}</legend>
      <div class="label-keys">
        {choices.map(([value, choice]) => (
          <button type="button" key={choice} aria-pressed={at === value} onClick={() => turn(value)}>
            {choice}
          </button>
        ))}
      </div>
    </fieldset>
  );
}
