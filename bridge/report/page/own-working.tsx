import type { RunView, WorkingView } from '../../run/view.ts';
import { Section, Table } from './figures.tsx';

/** What was worked out by hand, as it was typed, with what each number is. */
export function OwnWorking({ working }: Pick<RunView, 'working'>) {
  if (working === null) return null;
  return (
    <Section title="Worked out by hand">
      <Table
        caption="As it was typed at the bench, and what it is."
        columns={[{ head: 'what', words: true }, { head: 'typed' }, { head: 'remark', words: true }]}
        rows={working.remarks.map(({ about, text }) => [nameOf(about), typedOf(working, about), text])}
      />
    </Section>
  );
}

type About = WorkingView['remarks'][number]['about'];

function nameOf(about: About): string {
  if ('set' in about)
    return `set ${about.set}, ${about.what === 'made' ? 'what its lengths make' : 'corrected ammeter reading'}`;
  return about.what === 'mean' ? 'mean' : 'standard deviation of the mean';
}

function typedOf(working: WorkingView, about: About): string {
  if (!('set' in about)) return working[about.what];
  const typed = working.sets.find(({ set }) => set === about.set);
  return (about.what === 'made' ? typed?.made : typed?.ammeterMa) ?? '';
}
