import { useEffect, useState } from 'preact/hooks';
import type { RecordingEntry, RecordingSummary, Refused } from '../../bridge/serve/page-protocol.ts';
import { postTo } from '../app/bench-setup-client.ts';

/** What the bridge says of a recording, or why it can't. */
export type Said = RecordingSummary | Refused;

/** Another once the recording has been written to. */
export const keyOf = ({ file, bytes, writtenMs }: RecordingEntry): string => `${file} ${bytes} ${writtenMs}`;

/** Asks for one after the other, newest first: the bridge works each out once, and a live run goes before. */
export function useSummaries(entries: readonly RecordingEntry[]): ReadonlyMap<string, Said> {
  const [known, setKnown] = useState<ReadonlyMap<string, Said>>(new Map());
  useEffect(() => {
    let wanted = true;
    const ask = async () => {
      for (const entry of entries) {
        if (known.has(keyOf(entry))) continue;
        const answer = await postTo('summary', { file: entry.file });
        if (!wanted) return;
        setKnown((before) => new Map(before).set(keyOf(entry), answer.ok ? answer.summary : answer));
      }
    };
    void ask();
    return () => {
      wanted = false;
    };
  }, [entries]);
  return known;
}
