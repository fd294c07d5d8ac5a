import manifest from '../../package.json' with { type: 'json' };
import { isLanguage } from '../messages/language.ts';
import type { Fingerprint, RecordLine } from '../session/run-from-recording.ts';
import { type Change, changesBetween } from '../session/view-patch.ts';
import { PAGE_FINGERPRINT, RECORD_PAGES, recordPage } from './page/record-page.tsx';
import type { ReportedRun } from './read-run.ts';
import { reportJson } from './report-json.ts';

/** Whether a report was made from a recording, and says what the recording says: what is worked out anew stands against what is claimed. */

export interface Verification {
  agrees: boolean;
  /** What was found, a sentence each. */
  lines: string[];
}

/** Differences named one by one; what goes beyond is counted. */
const MOST_NAMED = 20;

/**
 * @param run worked out from as many bytes of the recording as the report was
 * @param later what stands beyond these
 */
export function heldAgainst(
  claim: Claim,
  run: ReportedRun,
  later: Iterable<RecordLine | 'unreadable'>,
): Verification {
  const { bytes, sha256 } = claim.recording;
  const found = run.recording;
  if (found.bytes < bytes)
    return denied(
      `the recording has ${found.bytes} bytes, and the report was made from ${bytes}: a part is missing, or it is another`,
    );
  if (found.sha256 !== sha256)
    return denied(
      `the report was not made from this recording: the SHA-256 of its first ${bytes} bytes is ${found.sha256}, not ${sha256}`,
    );
  const compared = claim.kind === 'json' ? compareJson(claim.json, run) : comparePage(claim.page, run);
  return {
    agrees: compared.agrees,
    lines: [
      `the recording is the one that the report was made from: the SHA-256 of ${bytes} bytes agrees`,
      ...laterLines(later),
      ...compared.lines,
    ],
  };
}

export const NO_REPORT =
  'this is no report of tenwire, or one of a version that kept no fingerprint of its recording';

const denied = (line: string): Verification => ({ agrees: false, lines: [line] });

/** A report as it was handed in. */
export type Claim = { recording: Fingerprint } & (
  | { kind: 'json'; json: unknown }
  | { kind: 'page'; page: string }
);

/** Null for a text that is no report, or has no fingerprint. */
export function claimOf(report: string): Claim | null {
  const inPage = PAGE_FINGERPRINT.exec(report);
  if (inPage !== null) {
    const recording = fingerprintIn({ bytes: Number(inPage[1]), sha256: inPage[2] });
    return recording && { kind: 'page', page: report, recording };
  }
  try {
    const json = JSON.parse(report);
    const recording = json?.format === 'tenwire-report/1' ? fingerprintIn(json.recording) : null;
    return recording && { kind: 'json', json, recording };
  } catch {
    return null;
  }
}

function fingerprintIn(said: Partial<Fingerprint> | undefined): Fingerprint | null {
  const { bytes, sha256 } = said ?? {};
  const isOne = Number.isSafeInteger(bytes) && Number(bytes) > 0 && /^[0-9a-f]{64}$/.test(String(sha256));
  return isOne ? { bytes: Number(bytes), sha256: String(sha256) } : null;
}

/** What came after the report was made: it does not count, and is named. */
function laterLines(later: Iterable<RecordLine | 'unreadable'>): string[] {
  const kinds = new Map<string, number>();
  let lines = 0;
  for (const record of later) {
    lines += 1;
    const kind = record === 'unreadable' || record.mark !== '!' ? null : kindOf(record.payload);
    if (kind !== null) kinds.set(kind, (kinds.get(kind) ?? 0) + 1);
  }
  if (lines === 0) return [];
  const events = [...kinds].map(([kind, times]) => (times === 1 ? kind : `${times} times ${kind}`));
  return [`${lines} lines came later and were left out; events among them: ${events.join(', ') || 'none'}`];
}

function kindOf(payload: string): string {
  try {
    return JSON.stringify(JSON.parse(payload)?.kind ?? null);
  } catch {
    return 'unreadable';
  }
}

function compareJson(claimed: unknown, run: ReportedRun): Verification {
  const again: unknown = JSON.parse(JSON.stringify(reportJson(run)));
  const changes = changesBetween(claimed, again).filter(([path]) => path.join('.') !== 'program.version');
  const version = String(valueAt(claimed, ['program', 'version']));
  if (changes.length === 0) return { agrees: true, lines: ['each field is what the recording gives'] };
  const more = changes.length - MOST_NAMED;
  return {
    agrees: false,
    lines: [
      `${changes.length === 1 ? 'one field is' : `${changes.length} fields are`} not what the recording gives:`,
      ...changes.slice(0, MOST_NAMED).map((change) => `  ${differenceText(claimed, change)}`),
      ...(more > 0 ? [`  and ${more} more`] : []),
      ...(version === manifest.version
        ? []
        : [
            `the report is by version ${version}, this is ${manifest.version}: CHANGELOG.md says what gives other numbers since`,
          ]),
    ],
  };
}

const differenceText = (claimed: unknown, [path, ...given]: Change): string =>
  `${path.join('.') || 'the whole'}: ${shown(valueAt(claimed, path))} in the report, ${given.length === 0 ? 'nothing' : shown(given[0])} by the recording`;

function valueAt(root: unknown, path: readonly (string | number)[]): unknown {
  return path.reduce<unknown>(
    (holder, step) =>
      typeof holder === 'object' && holder !== null && Object.hasOwn(holder, step)
        ? (holder as Record<string | number, unknown>)[step]
        : undefined,
    root,
  );
}

const MOST_SHOWN = 60;

function shown(value: unknown): string {
  const text = value === undefined ? 'nothing' : JSON.stringify(value);
  return text.length > MOST_SHOWN ? `${text.slice(0, MOST_SHOWN)} ...` : text;
}

/** A page is for people: of one that was printed, or saved anew by a browser, no more than the result can be compared. */
function comparePage(page: string, run: ReportedRun): Verification {
  const lang = /<html lang="(\w+)">/.exec(page)?.[1] ?? '';
  const language = isLanguage(lang) ? lang : 'en';
  if (Object.values(RECORD_PAGES).some((make) => make(run, language) === page))
    return { agrees: true, lines: ['the page is what the recording gives, byte for byte'] };
  const [claimed, given] = [statementsIn(page), statementsIn(recordPage(run, language))];
  const agrees = claimed.join('\n') === given.join('\n');
  return {
    agrees,
    lines: [
      agrees
        ? `the result agrees: ${given.join('; ') || 'none'}`
        : `the result is not what the recording gives: ${claimed.join('; ') || 'none'} on the page, ${given.join('; ') || 'none'} by the recording`,
      'the rest of the page is another than this program writes now, and nothing more can be told of a page: compare a report as JSON',
    ],
  };
}

/** The results, which stand at the head and again where they are worked out. */
const statementsIn = (page: string): string[] => [
  ...new Set(
    Array.from(page.matchAll(/<p class="statement">(.*?)<\/p>/gs), ([, text]) =>
      text
        .replace(/<[^>]*>/g, '')
        .replace(/\s+/g, ' ')
        .trim(),
    ),
  ),
];
