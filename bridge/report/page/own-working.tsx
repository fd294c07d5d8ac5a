import type { Remark } from '../../calc-core/own-working.ts';
import type { RunView } from '../../run/view.ts';
import { Section, Table } from './figures.tsx';
import { useTexts } from './language.tsx';
import { fill } from './say.tsx';
import type { RecordTexts } from './texts/en.ts';

/** What was worked out by hand, as it was typed, with what each number is. */
export function OwnWorking({ working }: Pick<RunView, 'working'>) {
  const { ownWorking, localise } = useTexts();
  if (working === null) return null;
  return (
    <Section title={ownWorking.heading}>
      <Table
        caption={ownWorking.caption}
        columns={[
          { head: ownWorking.what, words: true },
          { head: ownWorking.typed },
          { head: ownWorking.remark, words: true },
        ]}
        rows={working.remarks.map((remark) => [
          nameOf(ownWorking, remark.about),
          remark.typed,
          localise(remark),
        ])}
      />
    </Section>
  );
}

const nameOf = (names: RecordTexts['ownWorking'], about: Remark['about']): string =>
  'set' in about ? fill(names[about.what], { set: about.set }) : names[about.what];
