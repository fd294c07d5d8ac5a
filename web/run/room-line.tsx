import { useApp, useMayRecord, useView } from '../app/app-context.ts';
import { useTexts } from '../texts/texts.ts';

/** This bench in its room: whether the room has everything, what the teacher says, and a call for the teacher. */
export function RoomLine() {
  const { connection } = useApp();
  const texts = useTexts();
  const view = useView();
  const mayRecord = useMayRecord();
  const inRoom = view?.inRoom ?? null;
  if (inRoom === null) return null;
  const call = (on: boolean) => connection.send({ type: 'call', on });
  return (
    <section class="panel room-line" aria-label={texts.inRoom.heading(inRoom.room)}>
      {inRoom.said !== null && (
        <p class="room-said" role="status">
          <strong>{texts.inRoom.said}</strong> <span translate={false}>{inRoom.said}</span>
        </p>
      )}
      <p>
        <strong>{texts.inRoom.heading(inRoom.room)}</strong>{' '}
        <span class="quiet" data-testid="room-link">
          <LinkText />
        </span>{' '}
        {mayRecord && inRoom.up && (
          <button type="button" onClick={() => call(!inRoom.calls)}>
            {inRoom.calls ? texts.inRoom.uncall : texts.inRoom.call}
          </button>
        )}{' '}
        {inRoom.calls && <span role="status">{texts.inRoom.calling}</span>}
      </p>
      {inRoom.copy > 1 && <p class="board-trouble">{texts.inRoom.copies}</p>}
    </section>
  );
}

/** A run is always a little ahead of its room. */
const USUAL_LAG_BYTES = 64_000;

function LinkText() {
  const texts = useTexts();
  const inRoom = useView()?.inRoom ?? null;
  if (inRoom === null) return null;
  if (!inRoom.up) return <>{[texts.inRoom.away, inRoom.trouble].filter(Boolean).join(' · ')}</>;
  const { behindBytes } = inRoom;
  if (behindBytes === null) return <>{texts.inRoom.joining}</>;
  return (
    <>
      {behindBytes <= USUAL_LAG_BYTES
        ? texts.inRoom.up
        : texts.inRoom.behind((behindBytes / 1000).toFixed(0))}
    </>
  );
}
