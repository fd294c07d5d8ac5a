import { useEffect, useState } from 'preact/hooks';
import type { RecordingEntry, Refused } from '../../bridge/serve/page-protocol.ts';
import { writeAddress } from '../app/address.ts';
import { useApp, useMaySteer } from '../app/app-context.ts';
import { useAsk } from '../app/ask.ts';
import { dropFile, postTo, refusalIn } from '../app/bench-setup-client.ts';
import { grouped } from '../app/format.ts';
import { useTexts } from '../texts/texts.ts';
import { CompareRuns } from './compare-runs.tsx';

/** The recordings that the bridge keeps: open one, drop one in, put two side by side. */
export function RecordingsPage() {
  const { connection, store } = useApp();
  const texts = useTexts();
  const ask = useAsk();
  const maySteer = useMaySteer();
  const [entries, setEntries] = useState<RecordingEntry[] | null>(null);
  const [chosen, setChosen] = useState<string[]>([]);
  const look = async () => {
    const answer = await postTo('recordings', {});
    if (answer.ok) setEntries(answer.recordings);
    else store.notify((inUse) => refusalIn(inUse, answer));
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
          <RecordingTable entries={entries} chosen={chosen} setChosen={setChosen} replay={replay} />
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

interface TableProps {
  entries: RecordingEntry[];
  chosen: string[];
  setChosen: (chosen: string[]) => void;
  replay: (file: string) => void;
}

function RecordingTable({ entries, chosen, setChosen, replay }: TableProps) {
  const texts = useTexts();
  const choose = (file: string, on: boolean) =>
    setChosen(on ? [...chosen, file].slice(-2) : chosen.filter((one) => one !== file));
  return (
    <table class="recording-table">
      <thead>
        <tr>
          <th scope="col">{texts.recordings.file}</th>
          <th scope="col">{texts.recordings.written}</th>
          <th scope="col">{texts.recordings.size}</th>
          <th scope="col">{texts.recordings.compare}</th>
          <th scope="col">
            <span class="visually-hidden">{texts.recordings.replay}</span>
          </th>
        </tr>
      </thead>
      <tbody>
        {entries.map((entry) => (
          <tr key={entry.file}>
            <th scope="row">{entry.file}</th>
            <td>{new Date(entry.writtenMs).toLocaleString()}</td>
            <td>{grouped(Math.ceil(entry.bytes / 1000))} kB</td>
            <td>
              <input
                type="checkbox"
                aria-label={`${texts.recordings.compare} ${entry.file}`}
                checked={chosen.includes(entry.file)}
                onChange={(event) => choose(entry.file, event.currentTarget.checked)}
              />
            </td>
            <td>
              <button
                type="button"
                aria-label={`${texts.recordings.replay} ${entry.file}`}
                onClick={() => replay(entry.file)}
              >
                {texts.recordings.replay}
              </button>
            </td>
          </tr>
        ))}
      </tbody>
    </table>
  );
}
