import manifest from '../../../package.json' with { type: 'json' };
import { aboutRun } from '../about.ts';
import type { ReportedRun } from '../read-run.ts';

/** What it was worked out by and from, and the places for signatures. */
export function Foot({ run }: { run: ReportedRun }) {
  const { view } = run;
  const result = view.work.outcome?.result ?? null;
  return (
    <footer>
      <p class="small">
        Worked out by tenwire {manifest.version}
        {result === null ? '' : `, measurement model ${result.model}`}, from {run.recording.bytes} bytes of
        the recording, whose SHA-256 is <code>{run.recording.sha256}</code>.
      </p>
      <p>Done by: {aboutRun(view).by}</p>
      <p>Date and signature:</p>
      <p>Seen by, date and signature:</p>
    </footer>
  );
}
