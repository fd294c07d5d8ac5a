import { rmSync } from 'node:fs';
import { join } from 'node:path';
import { afterEach, beforeAll, beforeEach } from 'vitest';
import type { RunView } from '../../bridge/run/view.ts';
import type { LineSource, SourceListener } from '../../bridge/serial/line-source.ts';
import type { MakeRun } from '../../bridge/session/make-run.ts';
import { runMaker } from '../../bridge/session/make-run.ts';
import { temporaryFolder } from '../serial/pty.ts';

/** A folder of its own for each test, and folds to make. */
export function sessionStand() {
  let folder = '';
  let make: MakeRun | null = null;
  beforeAll(async () => {
    make = await runMaker();
  });
  beforeEach(() => {
    folder = temporaryFolder();
  });
  afterEach(() => rmSync(folder, { recursive: true, force: true }));
  return {
    path: (name: string) => join(folder, name),
    makeRun: (events: Parameters<MakeRun>[0]) => make!(events),
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
