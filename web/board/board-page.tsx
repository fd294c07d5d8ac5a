import { useEffect, useState } from 'preact/hooks';
import type { BoardRow, ClassBoard } from '../../bridge/serve/page-protocol.ts';
import { useApp, useMaySteer, usePage } from '../app/app-context.ts';
import { useTexts } from '../texts/texts.ts';
import { BenchCard } from './bench-card.tsx';
import { ClassResults } from './class-results.tsx';
import { SayForm } from './say-form.tsx';
import '../style/board.css';

/** All benches of a class on one screen, those that need help first. */
export function BoardPage() {
  const { connection } = useApp();
  useEffect(() => {
    connection.followBoard(true);
    return () => connection.followBoard(false);
  }, [connection]);
  const board = usePage((state) => state.board);
  return board === null ? null : <Board board={board} />;
}

function Board({ board }: { board: ClassBoard }) {
  const texts = useTexts();
  const maySteer = useMaySteer();
  return (
    <div class="board">
      <header class="board-head">
        <h2>{texts.classBoard.heading(board.room)}</h2>
        {maySteer && !board.ended && <ClassControls board={board} />}
      </header>
      <Troubles board={board} />
      {board.rows.length === 0 && !board.ended && <p class="panel quiet">{texts.classBoard.none}</p>}
      <ul class="board-benches">
        {board.rows.map((row) => (
          <BenchCard key={keyOf(row)} row={row} shown={board.shown} />
        ))}
      </ul>
      <ClassResults board={board} />
    </div>
  );
}

const keyOf = ({ station, run }: BoardRow): string => `${station}/${run}`;

function Troubles({ board }: { board: ClassBoard }) {
  const texts = useTexts();
  const { trouble, ended, refused } = board;
  return (
    <div role="status">
      {ended && <p class="panel">{texts.classBoard.ended}</p>}
      {trouble !== null && <p class="panel board-trouble">{texts.classBoard.trouble(trouble)}</p>}
      {refused > 0 && <p class="quiet">{texts.classBoard.refused(refused)}</p>}
    </div>
  );
}

function ClassControls({ board }: { board: ClassBoard }) {
  const { connection } = useApp();
  const texts = useTexts();
  const [ending, setEnding] = useState(false);
  return (
    <div class="board-controls">
      <SayForm label={texts.classBoard.sayToAll} to={null} said={board.saidToAll} />
      <button
        type="button"
        aria-pressed={board.shown}
        onClick={() => connection.send({ type: 'class', do: board.shown ? 'hide' : 'show' })}
      >
        {board.shown ? texts.classBoard.hide : texts.classBoard.show}
      </button>
      {ending ? (
        <span class="board-end">
          {texts.classBoard.endReally}{' '}
          <button type="button" onClick={() => connection.send({ type: 'class', do: 'end' })}>
            {texts.classBoard.end}
          </button>{' '}
          <button type="button" onClick={() => setEnding(false)}>
            {texts.dismiss}
          </button>
        </span>
      ) : (
        <button type="button" onClick={() => setEnding(true)}>
          {texts.classBoard.end}
        </button>
      )}
    </div>
  );
}
