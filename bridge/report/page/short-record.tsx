import type { ReportedRun } from '../read-run.ts';
import { Apparatus } from './apparatus.tsx';
import { Cautions } from './cautions.tsx';
import { Circuit } from './circuit.tsx';
import { Section } from './figures.tsx';
import { Findings } from './findings.tsx';
import { Foot } from './foot.tsx';
import { Aim, Head } from './head.tsx';
import { useTexts } from './language.tsx';
import { LinePlots } from './line-plots.tsx';
import { Observations } from './observations.tsx';
import { OwnWorking } from './own-working.tsx';
import { SourcesOfError } from './sources.tsx';
import { Meaning, NoResult, Statement } from './statement.tsx';

/** A record on two sheets: the observations without their nulls, one plot, the result without its calculation. */
export function ShortRecord({ run }: { run: ReportedRun }) {
  const texts = useTexts();
  const { view } = run;
  const { bench, work } = view;
  const result = work.outcome?.result ?? null;
  const emf = work.procedure === 'emf-comparison' ? (work.emf?.result ?? null) : null;
  const findings = view.findings.filter(({ severity }) => severity !== 'note');
  return (
    <>
      <Head view={view} />
      <div class="beside">
        <Aim view={view} />
        {bench === null ? null : (
          <Section title={texts.circuit.heading}>
            <Circuit view={view} bench={bench} />
          </Section>
        )}
      </div>
      {bench === null ? null : <Apparatus run={run} bench={bench} />}
      <Observations view={view} isShort />
      <LinePlots view={view} />
      <OwnWorking working={view.working} />
      <Section title={texts.result.heading}>
        {result === null ? <NoResult /> : <Statement result={result} />}
        {emf === null ? null : <Statement result={emf} />}
        {result === null ? null : <Meaning result={result} />}
      </Section>
      {findings.length === 0 ? null : <Findings view={{ ...view, findings }} />}
      <SourcesOfError result={result} isShort />
      <Cautions view={view} />
      <Foot run={run} />
    </>
  );
}
