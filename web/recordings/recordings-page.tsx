import { useEffect, useState } from 'preact/hooks';
import type { RecordingEntry, Refused } from '../../bridge/serve/page-protocol.ts';
import { writeAddress } from '../app/address.ts';
import { useApp, useMaySteer } from '../app/app-context.ts';
import { useAsk } from '../app/ask.ts';
import { dropFile, postTo, refusalIn } from '../app/bench-setup-client.ts';
import { useTexts } from '../texts/texts.ts';
import { ClassActions } from './class-actions.tsx';
import { CompareRuns } from './compare-runs.tsx';
import { RecordingTable } from './recording-table.tsx';
import { keyOf, useSummaries } from './summaries.ts';

const NONE: RecordingEntry[] = [];

/** The recordings that the bridge keeps: open one, drop one in, put two side by side, see what a class found. */
export function RecordingsPage() {
  const { connection, store } = useApp();
  const texts = useTexts();
  const ask = useAsk();
  const maySteer = useMaySteer();
  const [entries, setEntries] = useState<RecordingEntry[] | null>(null);
  const [folder, setFolder] = useState('');
  const [chosen, setChosen] = useState<string[]>([]);
  const summaries = useSummaries(entries ?? NONE);
  const look = async () => {
    const answer = await postTo('recordings', {});
    if (answer.ok) {
      setEntries(answer.recordings);
      setFolder(answer.folder);
    } else store.notify((inUse) => refusalIn(inUse, answer));
  };
  useEffect(() => {
    void look();
  }, [maySteer]);
  const replay = async (file: string) => {
    const answer = await ask(postTo('replay', { file }));
    if (answer === null) return;
    connection.open(answer.session);
    writeAddress({ tab: 'run', run: answer.session });
  };
  const drop = async (files: Iterable<File>) => {
    const refused: Refused[] = [];
    for (const file of files) {
      const answer = await dropFile(file);
      if (!answer.ok) refused.push(answer);
    }
    await look();
    if (refused.length === 0) store.dismiss();
    else store.notify((inUse) => refused.map((one) => refusalIn(inUse, one)).join('\n'));
  };
  return (
    <div class="recordings">
      <DropZone drop={drop} />
      <section class="panel">
        <h2>{texts.tabs.recordings}</h2>
        {entries !== null && entries.length === 0 && <p class="quiet">{texts.recordings.none}</p>}
        {entries !== null && entries.length > 0 && (
          <>
            <p class="quiet">{texts.recordings.folder(folder)}</p>
            <RecordingTable
              rows={entries.map((entry) => ({ entry, said: summaries.get(keyOf(entry)) ?? null }))}
              chosen={chosen}
              setChosen={setChosen}
              replay={replay}
            />
            <ClassActions files={chosen} />
          </>
        )}
      </section>
      {chosen.length === 2 && <CompareRuns files={[chosen[0], chosen[1]]} />}
    </div>
  );
}

function DropZone({ drop }: { drop: (files: Iterable<File>) => void }) {
  const texts = useTexts();
  const [over, setOver] = useState(false);
  return (
    <section
      class={over ? 'drop-zone drop-over' : 'drop-zone'}
      aria-label={texts.recordings.drop}
      onDragOver={(event) => {
        event.preventDefault();
        setOver(true);
      }}
      onDragLeave={() => setOver(false)}
      onDrop={(event) => {
        event.preventDefault();
        setOver(false);
        drop(event.dataTransfer?.files ?? []);
      }}
    >
      <label>
        {texts.recordings.drop}{' '}
        <input
          type="file"
          accept=".rec"
          multiple
          onChange={(event) => drop(event.currentTarget.files ?? [])}
        />
      </label>
    </section>
  );
}
