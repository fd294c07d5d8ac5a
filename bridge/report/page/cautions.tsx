import { REFERENCE_CELL_CAUTIONS } from '../../calc-core/weston-cell.ts';
import type { RunView } from '../../run/view.ts';
import { Section } from './figures.tsx';

/** Precautions and cautions; common practice of the trade, no source. */

const CAUTIONS = [
  'Your laboratory’s rules and its qualified staff come first, always; nothing printed here overrules them.',
  'Never short a cell, an accumulator or the driver: leads and wire get hot enough to burn.',
  'The stretched wire and the rheostat warm up while current flows: close the key only while reading, and do not touch them then.',
  'Accumulators hold acid and give off gas that explodes: keep them upright and ventilated, away from sparks, and wear eye protection where the rules ask for it.',
  'Keep mains leads, their supplies and water apart from the bench.',
];

const PRECAUTIONS = [
  'Positive terminals of the driver and of every cell measured at A.',
  'EMF of the driver above that of every cell measured; deflections to both sides seen before the null is looked for (not with a reference cell, which is never tried at the ends).',
  'Protective resistance in while hunting, out for the last approach.',
  'Touch with the jockey lightly and upright; press no harder than makes contact, for a nicked wire is uneven for ever.',
  'Rheostat changed with the key open; driver current steady before the lengths of a set are taken, and not changed within a set.',
  'Ends, terminals and joints clean and tight; leads short and thick on the driver’s side.',
  'Driver currents chosen so that the larger EMF balances on the last rows at the smallest current, and well before them at others.',
];

const LOAD_PRECAUTION =
  'Load key closed only while the loaded length is taken, so that the cell polarises little; open length taken again afterwards.';

export function Cautions({ view }: { view: RunView }) {
  const precautions =
    view.work.procedure === 'emf-comparison' ? PRECAUTIONS : [...PRECAUTIONS, LOAD_PRECAUTION];
  return (
    <Section title="Cautions and precautions">
      <h3>Cautions</h3>
      <List texts={view.referenceCells.length > 0 ? [...CAUTIONS, ...REFERENCE_CELL_CAUTIONS] : CAUTIONS} />
      <h3>Precautions</h3>
      <List texts={precautions} />
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
