import { type Head, headIn } from '../run/about.ts';
import type { RunEventOf } from '../run/events.ts';
import type { RunView } from '../run/view.ts';

/** Who did a run and when, as far as the recording says. */
export interface About {
  by: string;
  startedUtc: string;
  temperatureC: number | null;
  head: Head;
}

export function aboutRun(view: RunView): About {
  // leaving `kind` out of a type that lets unknown fields pass loses the known ones
  const about = (view.about ?? {}) as Partial<RunEventOf<'about'>>;
  return {
    by: about.by?.join(', ') ?? '',
    startedUtc: about.startedUtc ?? '',
    temperatureC: about.temperatureC ?? null,
    head: headIn(view.about),
  };
}
