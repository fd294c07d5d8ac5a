import type { LiveReading } from '../run/view.ts';
import { Broadcast } from './broadcast.ts';

/** What the listeners of a session hear, of a live run as of a replay. */
export class SessionEvents {
  protected readonly changed = new Broadcast<void>();
  protected readonly readings = new Broadcast<LiveReading>();
  protected readonly anew = new Broadcast<void>();
  protected readonly ended = new Broadcast<void>();

  onChange(listener: () => void): () => void {
    return this.changed.on(listener);
  }

  onReading(listener: (reading: LiveReading) => void): () => void {
    return this.readings.on(listener);
  }

  onAnew(listener: () => void): () => void {
    return this.anew.on(listener);
  }

  onEnded(listener: () => void): () => void {
    return this.ended.on(listener);
  }
}
