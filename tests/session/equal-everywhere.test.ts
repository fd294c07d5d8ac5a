import { describe, expect, it } from 'vitest';
import type { RunView } from '../../bridge/run/view.ts';
import { SerialSource } from '../../bridge/serial/serial-source.ts';
import type { BridgeToPage, FromBridge, SessionView } from '../../bridge/serve/page-protocol.ts';
import type { RunningServer } from '../../bridge/serve/server.ts';
import { serve } from '../../bridge/serve/server.ts';
import { openSession } from '../../bridge/session/open-session.ts';
import { ReplaySession } from '../../bridge/session/replay-session.ts';
import { runFromRecording } from '../../bridge/session/run-from-recording.ts';
import type { Session } from '../../bridge/session/session.ts';
import { sessionRegistry } from '../../bridge/session/session-registry.ts';
import { withChanges } from '../../bridge/session/view-patch.ts';
import { INVENTED_BENCH, sceneWith } from '../../bridge/simulate/default-scene.ts';
import { simulateRun } from '../../bridge/simulate/simulate-run.ts';
import { answerQuestions } from '../serial/board.ts';
import { plugIn } from '../serial/pty.ts';
import { pageClient } from '../serve/page-client.ts';
import { until } from '../until.ts';
import { asJson, sessionStand } from './stand.ts';

const stand = sessionStand();

async function serveOne(session: Session): Promise<RunningServer> {
  const sessions = sessionRegistry();
  sessions.add(session);
  const outcome = await serve({ sessions, pageFolder: stand.path('.'), port: 0, listen: null });
  if (!outcome.ok) throw new Error(outcome.text);
  return outcome.server;
}

/** What a page shows after frames, put together as the messages' rules say. */
function viewAfter(frames: BridgeToPage['frame'][]): Partial<SessionView> {
  let shown: Partial<SessionView> = {};
  for (const { view, changes } of frames) shown = withChanges(view ?? shown, changes ?? []);
  return shown;
}

/** What a page shows of a run, once it shows as many samples as the run has. */
async function shownOnPage(session: Session): Promise<Record<string, unknown>> {
  const server = await serveOne(session);
  const page = await pageClient(server.port, { role: 'watch', acks: true });
  page.send({ type: 'open', session: session.summary.id });
  const whole = asJson(session.view()) as Record<string, unknown>;
  await until(() => viewAfter(page.frames()).durationS === whole.durationS, 'the page is up to date');
  page.send({ type: 'calculation' });
  const isCalculation = (message: FromBridge) => message.type === 'calculation';
  await until(() => page.heard.some(isCalculation), 'the calculation');
  const shown = viewAfter(page.frames());
  const { outcome } = page.heard.find(isCalculation) as BridgeToPage['calculation'];
  await server.close();
  const result = shown.work?.outcome?.result ?? null;
  const complete =
    result === null
      ? shown
      : withChanges(shown, [[['work', 'outcome', 'result'], { ...outcome, ...result }]]);
  // What is not of the run itself, such as the next step or how a replay stands, is left aside.
  return Object.fromEntries(Object.entries(complete).filter(([name]) => name in whole));
}

/** What of a view is sent to pages: readings come by themselves, and the outcome's sets and faults as sets and findings. */
function sentOf(view: unknown): unknown {
  const { now: _, work, ...rest } = view as Pick<RunView, 'now' | 'work'>;
  if (work.outcome === null) return { ...rest, work };
  const { byTheBook, result, endCorrectionCm, check } = work.outcome;
  return { ...rest, work: { ...work, outcome: { byTheBook, result, endCorrectionCm, check } } };
}

describe('live, replayed and reported', () => {
  it('are equal to the last digit, through a pseudo-terminal and through WebSocket', async () => {
    // A board that loses and damages lines, so that those are counted alike, too.
    const scene = sceneWith({ board: { line: { lostShare: 0.001, damagedShare: 0.001 } } });
    const lines = [...simulateRun(scene)].flatMap(({ mark, payload }) => (mark === '<' ? [payload] : []));
    const pty = await plugIn(stand.path('port'));
    const stop = answerQuestions(pty, 'SIM-07');
    const path = stand.path('live.rec');
    const opened = await openSession({
      id: 'live',
      title: 'Bench 7',
      kind: 'live',
      source: new SerialSource({ path: pty.path, baudRate: 115200, rateHz: null }),
      path,
      begin: 'create',
      opening: [{ kind: 'bench', bench: INVENTED_BENCH }],
      makeRun: stand.makeRun,
    });
    if (!opened.ok) throw new Error(opened.text);
    const { session: live } = opened;
    await until(() => live.link().up === true, 'the link is up');
    stop();
    pty.send(lines.map((line) => `${line}\r\n`).join(''));
    const last = lines.filter((line) => line.startsWith('S')).length;
    await until(() => live.view().stream.samples > 0.99 * last, 'the samples came');
    await until(() => live.view().stream.samples + live.view().stream.badLines >= last, 'all of it');
    const livePage = await shownOnPage(live);
    await live.close();
    await pty.unplug();
    const liveView = asJson(live.view());

    const folded = await runFromRecording(path, stand.makeRun);
    if (!folded.ok) throw new Error(folded.fault.text);
    expect(asJson(folded.run.view())).toEqual(liveView);

    const replay = new ReplaySession({
      id: 'replay',
      path,
      speed: Number.POSITIVE_INFINITY,
      makeRun: stand.makeRun,
    });
    const ended = new Promise<void>((done) => replay.onEnded(done));
    expect(await replay.start()).toBeNull();
    await ended;
    expect(asJson(replay.view())).toEqual(liveView);
    const replayPage = await shownOnPage(replay);
    await replay.close();

    expect(livePage).toEqual(sentOf(liveView));
    expect(replayPage).toEqual(sentOf(liveView));
    // And it is a run worth the name.
    expect(live.view().work.outcome?.result).not.toBeNull();
    expect(live.view().stream.badLines).toBeGreaterThan(10);
    expect(live.view().stream.lostSamples).toBeGreaterThan(10);
  });
});
