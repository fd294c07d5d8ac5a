import { useState } from 'preact/hooks';
import type { ClassKind } from '../../bridge/serve/page-protocol.ts';
import { useAsk } from '../app/ask.ts';
import { postTo } from '../app/bench-setup-client.ts';
import { giveMade } from '../app/give-made.ts';
import { useTexts } from '../texts/texts.ts';

/** What the chosen recordings say together. */
export function ClassActions({ files }: { files: string[] }) {
  const texts = useTexts();
  const ask = useAsk();
  const [making, setMaking] = useState(false);
  const give = async (as: ClassKind) => {
    setMaking(true);
    await giveMade(
      () => ask(postTo('class', { files, as, language: texts.code })),
      as === 'print' && texts.exports.making,
    );
    setMaking(false);
  };
  const idle = files.length === 0 || making;
  return (
    <p class="class-actions">
      <button type="button" disabled={idle} onClick={() => give('print')}>
        {texts.recordings.print}
      </button>{' '}
      <button type="button" disabled={idle} onClick={() => give('csv')}>
        {texts.recordings.classCsv}
      </button>{' '}
      <button type="button" disabled={idle} onClick={() => give('json')}>
        {texts.recordings.classJson}
      </button>{' '}
      <span role="status" class="quiet">
        {making
          ? texts.exports.making
          : `${texts.recordings.together(files.length)}. ${texts.recordings.compareHint}`}
      </span>
    </p>
  );
}
