import { rmSync } from 'node:fs';
import { join } from 'node:path';
import { afterEach, beforeAll, beforeEach } from 'vitest';
import type { RunView } from '../../bridge/run/view.ts';
import type { LineSource, SourceListener } from '../../bridge/serial/line-source.ts';
import type { MakeFold } from '../../bridge/session/make-fold.ts';
import { foldMaker } from '../../bridge/session/make-fold.ts';
import { temporaryFolder } from '../serial/pty.ts';

/** A folder of its own for each test, and folds to make. */
export function sessionStand() {
  let folder = '';
  let make: MakeFold | null = null;
  beforeAll(async () => {
    make = await foldMaker();
  });
  beforeEach(() => {
    folder = temporaryFolder();
  });
  afterEach(() => rmSync(folder, { recursive: true, force: true }));
  return {
    path: (name: string) => join(folder, name),
    makeFold: (events: Parameters<MakeFold>[0]) => make!(events),
  };
}

/** A source that a test speaks through. */
export class HandSource implements LineSource {
  readonly kind = 'serial';
  listener: SourceListener | null = null;
  closed = 0;

  async start(listener: SourceListener): Promise<null> {
    this.listener = listener;
    return null;
  }

  send(): boolean {
    return false;
  }

  async close(): Promise<void> {
    this.closed += 1;
  }
}

/** A view as it goes over a wire: what JSON keeps of it. */
export const asJson = (view: RunView): unknown => JSON.parse(JSON.stringify(view));
