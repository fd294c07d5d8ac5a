import type { PlaybackView } from '../../bridge/serve/page-protocol.ts';
import { writeAddress } from '../app/address.ts';
import { useApp, useMaySteer, usePage, useView } from '../app/app-context.ts';
import { useAsk } from '../app/ask.ts';
import { postTo } from '../app/bench-setup-client.ts';
import { useCalmNow } from '../app/calm.ts';
import { clock } from '../app/format.ts';
import { useHeld } from '../app/held.ts';
import { useTexts } from '../texts/texts.ts';

const SPEEDS = [0.5, 1, 2, 5, 10, 50, 300];

/** A replay's pause, steps from null to null, speed, and the whole run to scrub over. */
export function PlaybackBar() {
  const view = useView();
  const maySteer = useMaySteer();
  if (view === null || view.playback === null) return null;
  return (
    <section class="playback">
      {maySteer && <PlaybackKeys playback={view.playback} />}
      <Scrubber playback={view.playback} maySteer={maySteer} />
    </section>
  );
}

function PlaybackKeys({ playback }: { playback: PlaybackView }) {
  const texts = useTexts();
  const { connection } = useApp();
  const ask = useAsk();
  const session = usePage((state) => state.session);
  const close = async () => {
    if (session === null) return;
    const answer = await ask(postTo('end', { session }));
    if (answer !== null) writeAddress({ tab: 'recordings', run: null });
  };
  return (
    <div class="playback-keys">
      <button type="button" onClick={() => connection.send({ type: 'play', step: 'back' })}>
        <span aria-hidden="true">⇤ </span>
        {texts.playback.back}
      </button>
      <button
        type="button"
        class="main-action"
        onClick={() => connection.send({ type: 'play', playing: !playback.playing })}
      >
        {playback.playing ? texts.playback.pause : texts.playback.play}
      </button>
      <button type="button" onClick={() => connection.send({ type: 'play', step: 'next' })}>
        {texts.playback.next}
        <span aria-hidden="true"> ⇥</span>
      </button>
      <SpeedChoice speed={playback.speed} />
      <button type="button" onClick={close}>
        {texts.playback.close}
      </button>
    </div>
  );
}

/** Of a replay, or of a simulated bench. */
export function SpeedChoice({ speed: present }: { speed: number }) {
  const texts = useTexts();
  const { connection } = useApp();
  return (
    <label>
      {texts.playback.speed}{' '}
      <select
        value={present}
        onChange={(event) => connection.send({ type: 'play', speed: Number(event.currentTarget.value) })}
      >
        {[...new Set([...SPEEDS, present])]
          .sort((a, b) => a - b)
          .map((speed) => (
            <option key={speed} value={speed}>
              {speed} ×
            </option>
          ))}
      </select>
    </label>
  );
}

function Scrubber({ playback, maySteer }: { playback: PlaybackView; maySteer: boolean }) {
  const texts = useTexts();
  const { connection } = useApp();
  const now = useCalmNow();
  const atS = now?.atS ?? playback.atS;
  const { durationS } = playback;
  const drag = useHeld(atS);
  const spoken = `${clock(atS)} / ${clock(durationS)}`;
  return (
    <div class="scrubber">
      <div class="scrubber-track">
        <input
          type="range"
          min={0}
          max={Math.max(durationS, 1)}
          step={1}
          value={drag.shown}
          disabled={!maySteer}
          aria-label={texts.playback.whole}
          aria-valuetext={spoken}
          onInput={(event) => drag.hold(Number(event.currentTarget.value))}
          onChange={(event) => {
            connection.send({ type: 'play', seekS: Number(event.currentTarget.value) });
            drag.release();
          }}
        />
        {playback.nulls.map((found) => (
          <span
            key={found.id}
            class={`scrubber-null cell-${found.cell ?? 0}`}
            style={{ left: `${(100 * found.atS) / Math.max(durationS, 1)}%` }}
            title={found.id}
          />
        ))}
      </div>
      <span class="tabular">{spoken}</span>
    </div>
  );
}
