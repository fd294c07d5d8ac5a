import { HEAD_FIELDS } from '../../run/about.ts';
import type { RunView } from '../../run/view.ts';
import { aboutRun } from '../about.ts';
import { Section, Sym } from './figures.tsx';

/** What it is, whose, when and where; then the aim and the law it rests on. */

export const titleOf = (view: RunView): string =>
  view.work.procedure === 'emf-comparison'
    ? 'Comparison of the EMFs of two cells'
    : 'Internal resistance of a cell';

const HEAD_NAMES = {
  institution: 'institution',
  course: 'course or class',
  experiment: 'experiment no.',
  group: 'group',
};

export function Head({ view }: { view: RunView }) {
  const { bench, board } = view;
  const { by, startedUtc, temperatureC, head } = aboutRun(view);
  const facts: [string, string][] = [
    ...HEAD_FIELDS.flatMap((name): [string, string][] => {
      const said = head[name];
      return said === undefined ? [] : [[HEAD_NAMES[name], said]];
    }),
    ['done by', by || 'not stated'],
    ['begun', startedUtc === '' ? 'not stated' : readable(startedUtc)],
    ['length of the run', minutes(view.durationS)],
    ['temperature', temperatureC === null ? 'not stated' : `${temperatureC} °C`],
    ['bench', bench?.name ?? 'not known'],
    ['board', board?.name ?? 'not known'],
  ];
  return (
    <header>
      <h1>{titleOf(view)} on a stretched-wire potentiometer</h1>
      <dl>
        {facts.map(([name, value]) => (
          <div>
            <dt>{name}</dt>
            <dd>{value}</dd>
          </div>
        ))}
      </dl>
    </header>
  );
}

/** `2026-03-02T09:30:00Z` as 2026-03-02 09:30 UTC; what is no such date stays as it stands. */
const readable = (utc: string): string =>
  /^\d{4}-\d\d-\d\dT\d\d:\d\d/.test(utc) && utc.endsWith('Z')
    ? `${utc.slice(0, 10)} ${utc.slice(11, 16)} UTC`
    : utc;

const minutes = (seconds: number): string =>
  `${Math.floor(seconds / 60)} min ${String(Math.floor(seconds % 60)).padStart(2, '0')} s`;

export function Aim({ view }: { view: RunView }) {
  return view.work.procedure === 'emf-comparison' ? <ComparisonAim /> : <LoadAim />;
}

function ComparisonAim() {
  return (
    <Section title="Aim and principle">
      <p>
        To compare the EMFs <Sym name="E_1" /> and <Sym name="E_2" /> of two cells by their balancing lengths
        on a stretched wire at several driver currents, and to state <Sym name="E_1" />/<Sym name="E_2" />{' '}
        with its uncertainty.
      </p>
      <p>
        At the null no current flows through the cell, and its EMF equals the potential difference along the
        wire from A to the jockey. At one driver current that is proportional to the length, so{' '}
        <Sym name="E_1" />/
        <Sym name="E_2" /> = (<Sym name="l_1" /> + α)/(
        <Sym name="l_2" /> + α), where the end correction α is the length of wire that the resistance between
        the terminal at A and the zero of the scale is worth.
      </p>
    </Section>
  );
}

function LoadAim() {
  return (
    <Section title="Aim and principle">
      <p>
        To measure the internal resistance <i>r</i> of a cell from its balancing lengths with a load <i>R</i>{' '}
        across it and without, and to state it with its uncertainty.
      </p>
      <p>
        With the load out the balancing length <Sym name="l_0" /> stands for the EMF, with the load in{' '}
        <i>l</i> stands for the potential difference at the terminals, so <i>r</i> = <i>R</i> ((
        <Sym name="l_0" /> + α)/(<i>l</i> + α) − 1), where the end correction α is the length of wire that the
        resistance between the terminal at A and the zero of the scale is worth.
      </p>
    </Section>
  );
}
