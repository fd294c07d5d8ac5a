import type { RunView } from '../../run/view.ts';
import { Section } from './figures.tsx';
import { useTexts } from './language.tsx';

/** Precautions and cautions; common practice of the trade, no source. */
export function Cautions({ view }: { view: RunView }) {
  const { cautions } = useTexts();
  const { always, reference, work, load } = cautions;
  return (
    <Section title={cautions.heading}>
      <h3>{cautions.cautions}</h3>
      <List texts={view.referenceCells.length > 0 ? [...always, ...reference] : always} />
      <h3>{cautions.precautions}</h3>
      <List texts={view.work.procedure === 'emf-comparison' ? work : [...work, load]} />
    </Section>
  );
}

const List = ({ texts }: { texts: readonly string[] }) => (
  <ul>
    {texts.map((text) => (
      <li>{text}</li>
    ))}
  </ul>
);
