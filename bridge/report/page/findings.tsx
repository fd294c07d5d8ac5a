import type { RunView } from '../../run/view.ts';
import { Section } from './figures.tsx';
import { useTexts } from './language.tsx';

/** A hyphen before a number is a minus sign in print. */
const withMinus = (text: string): string => text.replace(/(^|[\s(])-(?=\d)/g, '$1−');

/** What the program found, gravest first, and what the people at the bench wrote down themselves. */
export function Findings({ view }: { view: RunView }) {
  const { findings, localise } = useTexts();
  return (
    <Section title={findings.heading}>
      {view.findings.length === 0 ? (
        <p>{findings.none}</p>
      ) : (
        <ul class="findings">
          {view.findings.map((finding) => (
            <li>
              <b>{findings.severity[finding.severity]}</b>: {withMinus(localise(finding))}
            </li>
          ))}
        </ul>
      )}
      <Notes view={view} />
    </Section>
  );
}

function Notes({ view }: { view: RunView }) {
  const { findings } = useTexts();
  const notes = view.events.flatMap(({ event, undone }) =>
    event?.kind === 'note' && !undone ? [event.text] : [],
  );
  if (notes.length === 0) return null;
  return (
    <>
      <h3>{findings.notes}</h3>
      <ul>
        {notes.map((text) => (
          <li>{text}</li>
        ))}
      </ul>
    </>
  );
}
