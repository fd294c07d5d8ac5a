import type { Points } from '../../bridge/serve/page-protocol.ts';
import { Broadcast } from '../../bridge/session/broadcast.ts';

/** Readings that the page keeps for its plots; the oldest are dropped in one go, so that memory stays bounded. */
export const MOST_POINTS = 20_000;
const DROP = 4000;

/** From which point on there are new ones; or all are. */
export interface PointNews {
  from: number;
  anew: boolean;
}

export class PointBuffer {
  readonly tS: number[] = [];
  readonly along: (number | null)[] = [];
  readonly currentUa: (number | null)[] = [];
  readonly state: number[] = [];
  readonly #news = new Broadcast<PointNews>();

  add(points: Points, anew: boolean): void {
    if (anew) for (const column of this.#columns()) column.length = 0;
    const full = this.tS.length + points.tS.length > MOST_POINTS;
    if (full) for (const column of this.#columns()) column.splice(0, Math.max(DROP, points.tS.length));
    const from = this.tS.length;
    for (let index = 0; index < points.tS.length; index += 1) {
      this.tS.push(points.tS[index]);
      this.along.push(points.along[index]);
      this.currentUa.push(points.currentUa[index]);
      this.state.push(points.state[index]);
    }
    this.#news.tell({ from, anew: anew || full });
  }

  listen(listener: (news: PointNews) => void): () => void {
    return this.#news.on(listener);
  }

  #columns(): unknown[][] {
    return [this.tS, this.along, this.currentUa, this.state];
  }
}
