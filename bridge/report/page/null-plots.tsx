import type { NullPicture, NullView, RunView } from '../../run/view.ts';
import { Section } from './figures.tsx';
import { useTexts } from './language.tsx';
import { Curve, Dots, Plot } from './plot.tsx';
import { fill } from './say.tsx';
import type { RecordTexts } from './texts/en.ts';

/** The nulls as they were seen: current against length about each balancing length, one small plot for each. */

interface Panel {
  title: string;
  pictures: Drawn[];
  lengthCm: number | null;
}

export function NullPlots({ view }: { view: RunView }) {
  const texts = useTexts();
  const panels = panelsOf(texts, view);
  if (panels.length === 0) return null;
  return (
    <Section title={texts.nullPlots.heading}>
      <p class="small">{texts.nullPlots.caption}</p>
      <div class="panels">
        {panels.map((panel) => (
          <figure>
            <figcaption>{panel.title}</figcaption>
            <NullPlot panel={panel} />
          </figure>
        ))}
      </div>
    </Section>
  );
}

function panelsOf(texts: RecordTexts, view: RunView): Panel[] {
  const groups = new Map<string, NullView[]>();
  for (const found of view.nulls) {
    if (!found.used || found.picture === null) continue;
    const title = titleOf(texts, view, found);
    groups.set(title, [...(groups.get(title) ?? []), found]);
  }
  const panels = [...groups].map(([title, nulls]) => ({
    order: [nulls[0].set ?? 0, nulls[0].cell ?? 0, nulls[0].loadOhm ?? 0],
    title,
    pictures: nulls.flatMap(drawn),
    lengthCm: lengthOf(view, nulls[0]),
  }));
  return panels.sort((a, b) => a.order[0] - b.order[0] || a.order[1] - b.order[1] || a.order[2] - b.order[2]);
}

/** Readings and fitted curve of a null, lengths from A. */
interface Drawn extends Pick<NullPicture, 'currentUa' | 'fitCurrentUa'> {
  lengthCm: number[];
  fitCm: number[];
}

function drawn({ picture, lengthCm, scaleCm }: NullView): Drawn[] {
  if (picture === null) return [];
  const along = (cm: number) => (lengthCm ?? scaleCm) + cm;
  const { fromNullCm, fitFromNullCm, ...currents } = picture;
  return [{ ...currents, lengthCm: fromNullCm.map(along), fitCm: fitFromNullCm.map(along) }];
}

function titleOf({ nullPlots }: RecordTexts, view: RunView, { set, cell, load, loadOhm }: NullView): string {
  if (view.work.procedure === 'emf-comparison')
    return fill(nullPlots.ofCell, { set: set ?? '?', cell: cell ?? '?' });
  return fill(load ? nullPlots.ofLoad : nullPlots.ofOpen, { set: set ?? '?', ohm: loadOhm ?? '?' });
}

function lengthOf({ work }: RunView, found: NullView): number | null {
  if (work.procedure === 'emf-comparison') {
    const set = work.sets.find((candidate) => candidate.set === found.set);
    return (found.cell === 1 ? set?.l1Cm : set?.l2Cm) ?? null;
  }
  const ofSet = work.sets.filter((candidate) => candidate.set === found.set);
  if (!found.load) return ofSet[0]?.l0Cm ?? null;
  return ofSet.find((candidate) => candidate.loadOhm === found.loadOhm)?.lCm ?? null;
}

function NullPlot({ panel: { title, pictures, lengthCm } }: { panel: Panel }) {
  const { nullPlots } = useTexts();
  return (
    <Plot
      title={fill(nullPlots.label, { title })}
      xTitle={nullPlots.length}
      yTitle={nullPlots.current}
      xs={pictures.flatMap((picture) => picture.lengthCm)}
      ys={pictures.flatMap((picture) => picture.currentUa)}
      width={230}
      height={170}
      ticks={{ x: 3, y: 4 }}
      draw={(scale, frame) => (
        <>
          {pictures.map((picture) => (
            <Curve xs={picture.fitCm} ys={picture.fitCurrentUa} scale={scale} />
          ))}
          {pictures.map((picture) => (
            <Dots xs={picture.lengthCm} ys={picture.currentUa} scale={scale} />
          ))}
          <line class="zero" x1={frame.left} x2={frame.right} y1={scale.y(0)} y2={scale.y(0)} />
          {lengthCm === null ? null : (
            <line
              class="null"
              x1={scale.x(lengthCm)}
              x2={scale.x(lengthCm)}
              y1={frame.top}
              y2={frame.bottom}
            />
          )}
        </>
      )}
    />
  );
}
