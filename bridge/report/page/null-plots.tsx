import type { NullPicture, NullView, RunView } from '../../run/view.ts';
import { Section } from './figures.tsx';
import { Curve, Dots, Plot } from './plot.tsx';

/** The nulls as they were seen: current against length about each balancing length, one small plot for each. */

interface Panel {
  title: string;
  pictures: Drawn[];
  lengthCm: number | null;
}

export function NullPlots({ view }: { view: RunView }) {
  const panels = panelsOf(view);
  if (panels.length === 0) return null;
  return (
    <Section title="Plots of the nulls">
      <p class="small">
        Galvanometer current in µA against length from A in cm, around each balancing length: dots measured
        (thinned), curves fitted, one for each accepted null, as it was taken. The upright line is the
        balancing length of the set, brought to one driver current.
      </p>
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

function panelsOf(view: RunView): Panel[] {
  const groups = new Map<string, NullView[]>();
  for (const found of view.nulls) {
    if (!found.used || found.picture === null) continue;
    const title = titleOf(view, found);
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

function titleOf(view: RunView, found: NullView): string {
  if (view.work.procedure === 'emf-comparison') return `set ${found.set}, cell ${found.cell}`;
  return `set ${found.set}, ${found.load ? `load ${found.loadOhm ?? '?'} Ω` : 'load out'}`;
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
  return (
    <Plot
      title={`null of ${title}`}
      xTitle="length / cm"
      yTitle="current / µA"
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
