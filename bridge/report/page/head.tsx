import { HEAD_FIELDS } from '../../run/about.ts';
import type { RunView } from '../../run/view.ts';
import { aboutRun } from '../about.ts';
import { Section } from './figures.tsx';
import { useTexts } from './language.tsx';
import { fill, Say } from './say.tsx';
import type { RecordTexts } from './texts/en.ts';

/** What it is, whose, when and where; then the aim and the law it rests on. */

export const titleOf = ({ head }: RecordTexts, view: RunView): string =>
  view.work.procedure === 'emf-comparison' ? head.comparison : head.resistance;

export function Head({ view }: { view: RunView }) {
  const texts = useTexts();
  return (
    <header>
      <h1>{fill(texts.head.heading, { title: titleOf(texts, view) })}</h1>
      <dl>
        {factsOf(texts, view).map(([name, value]) => (
          <div>
            <dt>{name}</dt>
            <dd>{value}</dd>
          </div>
        ))}
      </dl>
    </header>
  );
}

function factsOf({ head: names, notStated, notKnown }: RecordTexts, view: RunView): [string, string][] {
  const { by, startedUtc, temperatureC, head } = aboutRun(view);
  return [
    ...HEAD_FIELDS.flatMap((name): [string, string][] => {
      const said = head[name];
      return said === undefined ? [] : [[names.fields[name], said]];
    }),
    [names.by, by || notStated],
    [names.begun, startedUtc === '' ? notStated : readable(startedUtc)],
    [names.lasted, minutes(view.durationS)],
    [names.temperature, temperatureC === null ? notStated : `${temperatureC} °C`],
    [names.bench, view.bench?.name ?? notKnown],
    [names.board, view.board?.name ?? notKnown],
  ];
}

/** `2026-03-02T09:30:00Z` as 2026-03-02 09:30 UTC; what is no such date stays as it stands. */
const readable = (utc: string): string =>
  /^\d{4}-\d\d-\d\dT\d\d:\d\d/.test(utc) && utc.endsWith('Z')
    ? `${utc.slice(0, 10)} ${utc.slice(11, 16)} UTC`
    : utc;

const minutes = (seconds: number): string =>
  `${Math.floor(seconds / 60)} min ${String(Math.floor(seconds % 60)).padStart(2, '0')} s`;

export function Aim({ view }: { view: RunView }) {
  const { aim } = useTexts();
  const [toDo, law] =
    view.work.procedure === 'emf-comparison'
      ? [aim.comparison, aim.comparisonLaw]
      : [aim.resistance, aim.resistanceLaw];
  return (
    <Section title={aim.heading}>
      <p>
        <Say text={toDo} />
      </p>
      <p>
        <Say text={law} />
      </p>
    </Section>
  );
}
