import { useState } from 'preact/hooks';
import type { BoardRow } from '../../bridge/serve/page-protocol.ts';
import { useApp } from '../app/app-context.ts';
import { useTexts } from '../texts/texts.ts';

const MOST_LETTERS = 200;

export interface SayFormProps {
  label: string;
  /** Null: to all benches. */
  to: Pick<BoardRow, 'station' | 'run'> | null;
  /** What was said last, and stands at the bench. */
  said: string | null;
}

/** A line of text to one bench or to all; it stands there until it is taken away. */
export function SayForm({ label, to, said }: SayFormProps) {
  const { connection } = useApp();
  const texts = useTexts();
  const [text, setText] = useState('');
  const say = (line: string) => {
    connection.send({ type: 'say', text: line, to });
    setText('');
  };
  return (
    <form
      class="board-say"
      onSubmit={(event) => {
        event.preventDefault();
        if (text.trim() !== '') say(text.trim());
      }}
    >
      <label>
        <span class="visually-hidden">{label}</span>
        <input
          type="text"
          placeholder={label}
          maxLength={MOST_LETTERS}
          value={text}
          onInput={(event) => setText(event.currentTarget.value)}
        />
      </label>{' '}
      <button type="submit">{texts.classBoard.say}</button>
      {said !== null && (
        <p class="quiet">
          {texts.classBoard.said(said)}{' '}
          <button type="button" onClick={() => say('')}>
            {texts.classBoard.takeBack}
          </button>
        </p>
      )}
    </form>
  );
}
