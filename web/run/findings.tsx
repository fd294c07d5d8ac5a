import type { Finding } from '../../bridge/serve/page-protocol.ts';
import { useView } from '../app/app-context.ts';
import { grouped } from '../app/format.ts';
import { useTexts } from '../texts/texts.ts';

const SIGN: Record<Finding['severity'], string> = { stop: '■', warn: '▲', note: '○' };
const ORDER: Finding['severity'][] = ['stop', 'warn', 'note'];

export function Findings() {
  const view = useView();
  const texts = useTexts();
  if (view === null) return null;
  const sorted = ORDER.flatMap((severity) =>
    view.findings.filter((finding) => finding.severity === severity),
  );
  return (
    <section class="panel" data-testid="findings">
      <h2>{texts.findings.heading}</h2>
      {sorted.length === 0 && <p class="quiet">{texts.findings.none}</p>}
      <ul class="findings">
        {sorted.map((finding) => (
          <FindingView
            key={`${finding.code}-${finding.set}-${finding.cell}-${finding.text}`}
            finding={finding}
          />
        ))}
      </ul>
      <p class="quiet stream">
        {texts.stream.text(
          grouped(view.stream.samples),
          grouped(view.stream.lostSamples),
          grouped(view.stream.badLines),
          view.stream.boots,
        )}
      </p>
    </section>
  );
}

function FindingView({ finding }: { finding: Finding }) {
  const texts = useTexts();
  const where = [
    finding.set === undefined ? '' : `${texts.labels.set} ${finding.set}`,
    finding.cell === undefined ? '' : texts.labels.cellName(finding.cell),
  ].filter((text) => text !== '');
  return (
    <li class={`finding finding-${finding.severity}`}>
      <strong>
        <span aria-hidden="true">{SIGN[finding.severity]} </span>
        {texts.findings.titles[finding.code]}
      </strong>
      <span class="quiet"> {[texts.findings.severity[finding.severity], ...where].join(' · ')}</span>
      <br />
      {texts.localise(finding)}
    </li>
  );
}
