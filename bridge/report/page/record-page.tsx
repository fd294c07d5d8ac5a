import type { VNode } from 'preact';
import type { Language } from '../../messages/language.ts';
import { aboutRun } from '../about.ts';
import type { ReportedRun } from '../read-run.ts';
import { Apparatus } from './apparatus.tsx';
import { Budget } from './budget.tsx';
import { ByReference } from './by-reference.tsx';
import { Calculation } from './calculation.tsx';
import { Cautions } from './cautions.tsx';
import { Circuit } from './circuit.tsx';
import { ConnectionCheck } from './connection.tsx';
import { Section } from './figures.tsx';
import { Findings } from './findings.tsx';
import { Foot } from './foot.tsx';
import { Aim, Head, titleOf } from './head.tsx';
import { htmlPage } from './html-page.tsx';
import { RECORD_TEXTS, useTexts } from './language.tsx';
import { LinePlots } from './line-plots.tsx';
import { NullPlots } from './null-plots.tsx';
import { Observations } from './observations.tsx';
import { OwnWorking } from './own-working.tsx';
import { Result } from './result.tsx';
import { ShortRecord } from './short-record.tsx';
import { SourcesOfError } from './sources.tsx';
import { Statement } from './statement.tsx';
import { WorkingSheet } from './working-sheet.tsx';

/** Finds bytes and SHA-256 of the recording in a page. */
export const PAGE_FINGERPRINT = /<meta name="recording" content="(\d+) bytes, SHA-256 ([0-9a-f]{64})">/;

/** The record of a run. A function of the recording alone. */
export const recordPage = (run: ReportedRun, language: Language = 'en'): string =>
  pageOf(run, language, <Record run={run} />);

/** Two sheets of it: what a class hands in. The long one has each null, the calculation and the budget. */
export const shortRecordPage = (run: ReportedRun, language: Language = 'en'): string =>
  pageOf(run, language, <ShortRecord run={run} />, 'brief');

/** A sheet with the readings alone, to work out the result by hand. */
export const workingSheet = (run: ReportedRun, language: Language = 'en'): string =>
  pageOf(run, language, <WorkingSheet run={run} />);

/** The pages that can be made of a run. */
export const RECORD_PAGES = { page: recordPage, short: shortRecordPage, sheet: workingSheet };

function pageOf(run: ReportedRun, language: Language, record: VNode, look?: string): string {
  const { view, recording } = run;
  const title = [
    titleOf(RECORD_TEXTS[language], view),
    view.bench?.name,
    aboutRun(view).startedUtc.slice(0, 10),
  ]
    .filter(Boolean)
    .join(', ');
  const meta = `<meta name="recording" content="${recording.bytes} bytes, SHA-256 ${recording.sha256}">\n`;
  return htmlPage(language, title, <main class={look}>{record}</main>, meta);
}

export function Record({ run }: { run: ReportedRun }) {
  const { circuit } = useTexts();
  const { view } = run;
  const { bench, work } = view;
  const result = work.outcome?.result ?? null;
  const emf = work.procedure === 'emf-comparison' ? (work.emf?.result ?? null) : null;
  return (
    <>
      <Head view={view} />
      {result === null ? null : <Statement result={result} />}
      {emf === null ? null : <Statement result={emf} />}
      <Aim view={view} />
      {bench === null ? null : (
        <>
          <Apparatus run={run} bench={bench} />
          <Section title={circuit.heading}>
            <Circuit view={view} bench={bench} />
            {bench.wire.zeroEnd === 'right' ? <p class="small">{circuit.mirrored}</p> : null}
          </Section>
          <ConnectionCheck view={view} bench={bench} />
        </>
      )}
      <Observations view={view} />
      <NullPlots view={view} />
      <LinePlots view={view} />
      <Calculation run={run} />
      {result === null ? null : <Budget result={result} />}
      <OwnWorking working={view.working} />
      <Result run={run} bench={bench} />
      <ByReference view={view} bench={bench} />
      <Findings view={view} />
      <SourcesOfError result={result} />
      <Cautions view={view} />
      <Foot run={run} />
    </>
  );
}
