import manifest from '../../../package.json' with { type: 'json' };
import { aboutRun } from '../about.ts';
import type { ReportedRun } from '../read-run.ts';
import { useTexts } from './language.tsx';
import { fill, Say } from './say.tsx';

/** What it was worked out by and from, and the places for signatures. */
export function Foot({ run }: { run: ReportedRun }) {
  const { foot } = useTexts();
  const { view } = run;
  const result = view.work.outcome?.result ?? null;
  const model = result === null ? '' : fill(foot.model, { model: result.model });
  const { bytes, sha256 } = run.recording;
  return (
    <footer>
      <p class="small">
        <Say
          text={foot.workedOut}
          given={{ version: manifest.version, model, bytes, sha256: <code>{sha256}</code> }}
        />
      </p>
      <p>{fill(foot.by, { by: aboutRun(view).by })}</p>
      <p>{foot.signature}</p>
      <p>{foot.seen}</p>
    </footer>
  );
}
