import type { Remark } from '../../calc-core/own-working.ts';
import type { RunView } from '../../run/view.ts';
import { Section, Table } from './figures.tsx';

/** What was worked out by hand, as it was typed, with what each number is. */
export function OwnWorking({ working }: Pick<RunView, 'working'>) {
  if (working === null) return null;
  return (
    <Section title="Worked out by hand">
      <Table
        caption="As it was typed at the bench, and what it is."
        columns={[{ head: 'what', words: true }, { head: 'typed' }, { head: 'remark', words: true }]}
        rows={working.remarks.map(({ about, typed, text }) => [nameOf(about), typed, text])}
      />
    </Section>
  );
}

function nameOf(about: Remark['about']): string {
  if ('set' in about)
    return `set ${about.set}, ${about.what === 'made' ? 'what its lengths make' : 'corrected ammeter reading'}`;
  return about.what === 'mean' ? 'mean' : 'standard deviation of the mean';
}
