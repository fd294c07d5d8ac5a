import { copyFileSync, mkdirSync, mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { Browser } from 'playwright-core';
import { BenchSetup } from '../../bridge/bench-setup/bench-setup.ts';
import { type RunningServer, serve } from '../../bridge/serve/server.ts';
import { byHandBench, type HandBenchOptions } from '../../bridge/session/by-hand.ts';
import { runMaker } from '../../bridge/session/make-run.ts';
import { openSession, type SessionPlan } from '../../bridge/session/open-session.ts';
import { ReplaySession } from '../../bridge/session/replay-session.ts';
import type { RunSession } from '../../bridge/session/run-session.ts';
import { sessionRegistry } from '../../bridge/session/session-registry.ts';
import { builtBackground } from '../bench-setup/built-background.ts';
import { builtPath } from '../built.ts';
import { launchChromium, openPage } from './browser.ts';

/** Everything real but the board: bridge, set-up, server, the built page, Chromium. One stage a test file. */

export interface Stage {
  browser: Browser;
  server: RunningServer;
  folder: string;
  sessions: ReturnType<typeof sessionRegistry>;
  close(): Promise<void>;
}

export const FIXTURE = 'comparison-four-sets.rec';

export async function openStage(): Promise<Stage> {
  const browser = await launchChromium();
  const folder = mkdtempSync(join(tmpdir(), 'tenwire-stage-'));
  mkdirSync(join(folder, 'recordings'));
  for (const file of [FIXTURE, 'operator-words.rec']) {
    copyFileSync(join('fixtures', file), join(folder, 'recordings', file));
  }
  const sessions = sessionRegistry();
  const setup = new BenchSetup({
    sessions,
    makeRun: await runMaker(),
    recordingsFolder: join(folder, 'recordings'),
    benchesFolder: join(folder, 'benches'),
    background: builtBackground(),
  });
  const outcome = await serve({ sessions, setup, pageFolder: builtPath('web'), port: 0, listen: null });
  if (!outcome.ok) throw new Error(outcome.text);
  return {
    browser,
    server: outcome.server,
    folder,
    sessions,
    async close() {
      await browser.close();
      await outcome.server.close();
      await setup.close();
      for (const { id } of sessions.list()) {
        const session = sessions.get(id);
        if (session !== undefined && 'close' in session) await (session as RunSession).close();
      }
      rmSync(folder, { recursive: true, force: true });
    },
  };
}

/** A replay of the fixture, standing at its end or wherever it is sought. */
export async function addReplay(stage: Stage, seekS: number, id = 'replay'): Promise<ReplaySession> {
  const path = join(stage.folder, 'recordings', FIXTURE);
  const session = new ReplaySession({ id, path, speed: 1, makeRun: await runMaker() });
  const fault = await session.start();
  if (fault !== null) throw new Error(fault.text);
  session.play({ playing: false, seekS });
  stage.sessions.add(session);
  return session;
}

export async function addSimulated(
  stage: Stage,
  plan: Pick<SessionPlan, 'id' | 'title' | 'source'> & Partial<SessionPlan>,
): Promise<RunSession> {
  const opened = await openSession({
    kind: 'simulated',
    path: join(stage.folder, 'recordings', `${plan.id}.rec`),
    begin: 'create',
    opening: [],
    makeRun: await runMaker(),
    ...plan,
  });
  if (!opened.ok) throw new Error(opened.text);
  stage.sessions.add(opened.session);
  return opened.session;
}

export async function addByHand(
  stage: Stage,
  speed: number,
  options: Partial<HandBenchOptions> = {},
): Promise<RunSession> {
  const plain = { seed: 1, speed, procedure: 'emf-comparison', plainBoard: false } as const;
  return addSimulated(stage, { id: 'by-hand', ...byHandBench({ ...plain, ...options }) });
}

/** Opens the page as a reader who has read the cautions before. */
export async function openAt(stage: Stage, address: string, options: Parameters<typeof openPage>[2] = {}) {
  const opened = await openPage(stage.browser, 'about:blank', options);
  await opened.page.addInitScript(() => localStorage.setItem('tenwire.cautions', 'read'));
  await opened.page.goto(stage.server.url + address);
  return opened;
}
