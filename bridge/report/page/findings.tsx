import type { Finding, RunView } from '../../run/view.ts';
import { Section } from './figures.tsx';

const SEVERITY: Readonly<Record<Finding['severity'], string>> = {
  stop: '■ stop',
  warn: '▲ look into it',
  note: '○ note',
};

/** A hyphen before a number is a minus sign in print. */
const withMinus = (text: string): string => text.replace(/(^|[\s(])-(?=\d)/g, '$1−');

/** What the program found, gravest first, and what the people at the bench wrote down themselves. */
export function Findings({ view }: { view: RunView }) {
  return (
    <Section title="Findings">
      {view.findings.length === 0 ? (
        <p>None.</p>
      ) : (
        <ul class="findings">
          {view.findings.map((finding) => (
            <li>
              <b>{SEVERITY[finding.severity]}</b>: {withMinus(finding.text)}
            </li>
          ))}
        </ul>
      )}
      <Notes view={view} />
    </Section>
  );
}

function Notes({ view }: { view: RunView }) {
  const notes = view.events.flatMap(({ event, undone }) =>
    event?.kind === 'note' && !undone ? [event.text] : [],
  );
  if (notes.length === 0) return null;
  return (
    <>
      <h3>Notes made at the bench</h3>
      <ul>
        {notes.map((text) => (
          <li>{text}</li>
        ))}
      </ul>
    </>
  );
}
