import type { ComponentChildren } from 'preact';
import type { HandOrder, HandState, SessionView } from '../../bridge/serve/messages.ts';
import { useApp, useMaySteer, useView } from '../app/app-context.ts';
import { useTexts } from '../texts/texts.ts';

const RHEOSTAT_OHM = [0.5, 1, 2, 3, 4, 6, 8, 10, 13, 16, 20];

/** Works a simulated bench: where a real one has a jockey and keys, the page has these. */
export function HandPanel() {
  const view = useView();
  const texts = useTexts();
  const maySteer = useMaySteer();
  const { connection } = useApp();
  if (view === null || view.hand === null || !maySteer) return null;
  const order = (what: HandOrder) => connection.send({ type: 'hand', order: what });
  return (
    <section class="panel hand" aria-labelledby="hand-heading">
      <h2 id="hand-heading">{texts.hand.heading}</h2>
      <JockeyHand view={view} hand={view.hand} order={order} />
      <Switches hand={view.hand} order={order} loaded={view.procedure === 'internal-resistance'} />
      <p class="quiet">{texts.hand.note}</p>
    </section>
  );
}

interface HandProps {
  hand: HandState;
  order: (what: HandOrder) => void;
}

function JockeyHand({ view, hand, order }: HandProps & { view: SessionView }) {
  const texts = useTexts();
  const { rows, rowLengthCm } = view.bench?.wire ?? { rows: 10, rowLengthCm: 100 };
  const { place, pressed } = hand;
  return (
    <>
      <label class="hand-line">
        <span>{texts.hand.row}</span>
        <input
          type="number"
          min={1}
          max={rows}
          value={place.row}
          onChange={(event) => {
            const row = Number(event.currentTarget.value);
            if (row >= 1 && row <= rows) order({ to: { ...place, row } });
          }}
        />
      </label>
      <label class="hand-line">
        <span>{texts.hand.scale}</span>
        <input
          type="number"
          min={0}
          max={rowLengthCm}
          step={0.1}
          value={Number(place.scaleCm.toFixed(2))}
          onChange={(event) => {
            const scaleCm = Number(event.currentTarget.value);
            if (scaleCm >= 0 && scaleCm <= rowLengthCm) order({ to: { ...place, scaleCm } });
          }}
        />
      </label>
      <input
        class="hand-scale"
        type="range"
        min={0}
        max={rowLengthCm}
        step={0.1}
        value={place.scaleCm}
        aria-label={texts.hand.scale}
        onInput={(event) => order({ to: { ...place, scaleCm: Number(event.currentTarget.value) } })}
      />
      <button
        type="button"
        class="hand-press"
        aria-pressed={pressed}
        onClick={() => order({ pressed: !pressed })}
      >
        {pressed ? texts.hand.pressed : texts.hand.press}
      </button>
    </>
  );
}

function Switches({ hand, order, loaded }: HandProps & { loaded: boolean }) {
  const texts = useTexts();
  const { switches } = hand;
  return (
    <>
      <Line name={texts.hand.key}>
        {[true, false].map((keyClosed) => (
          <Choice
            key={String(keyClosed)}
            on={switches.keyClosed === keyClosed}
            choose={() => order({ switches: { keyClosed } })}
          >
            {keyClosed ? texts.hand.keyClosed : texts.hand.keyOpen}
          </Choice>
        ))}
      </Line>
      <Line name={texts.hand.cell}>
        {([1, 2] as const).map((cell) => (
          <Choice key={cell} on={switches.cell === cell} choose={() => order({ switches: { cell } })}>
            {texts.labels.cellName(cell)}
          </Choice>
        ))}
      </Line>
      <Line name={texts.hand.protect}>
        {[true, false].map((protect) => (
          <Choice
            key={String(protect)}
            on={switches.protect === protect}
            choose={() => order({ switches: { protect } })}
          >
            {protect ? texts.labels.protectIn : texts.labels.protectOut}
          </Choice>
        ))}
      </Line>
      {loaded && (
        <Line name={texts.hand.load}>
          {[true, false].map((load) => (
            <Choice
              key={String(load)}
              on={switches.load === load}
              choose={() => order({ switches: { load } })}
            >
              {load ? texts.labels.loadIn : texts.labels.loadOut}
            </Choice>
          ))}
        </Line>
      )}
      <label class="hand-line">
        <span>{texts.hand.rheostat}</span>
        <select
          value={switches.rheostatOhm}
          onChange={(event) => order({ switches: { rheostatOhm: Number(event.currentTarget.value) } })}
        >
          {[...new Set([...RHEOSTAT_OHM, switches.rheostatOhm])]
            .sort((a, b) => a - b)
            .map((ohm) => (
              <option key={ohm} value={ohm}>
                {ohm}
              </option>
            ))}
        </select>
      </label>
    </>
  );
}

const Line = ({ name, children }: { name: string; children: ComponentChildren }) => (
  <fieldset class="hand-line">
    <legend>{name}</legend>
    <div class="label-keys">{children}</div>
  </fieldset>
);

const Choice = (props: { on: boolean; choose: () => void; children: ComponentChildren }) => (
  <button type="button" aria-pressed={props.on} onClick={props.choose}>
    {props.children}
  </button>
);
