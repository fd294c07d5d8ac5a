import type { RecordLine } from '../recording/record.ts';
import type { RunEvent } from '../run/events.ts';
import { DEFAULT_PROCEDURE } from '../run/procedure.ts';
import { createBoard } from './board.ts';
import { diary } from './diary.ts';
import { createWay } from './line-faults.ts';
import { moments } from './moments.ts';
import { randomStream } from './random.ts';
import type { Scene } from './scene.ts';

/** Events that stand before the first line of the board. */
export function openingEvents(scene: Scene): RunEvent[] {
  const procedure = scene.task.kind === 'script' ? scene.task.procedure : scene.task.kind;
  return [
    { kind: 'bench', bench: scene.bench },
    { kind: 'about', ...scene.about },
    ...(procedure === DEFAULT_PROCEDURE ? [] : [{ kind: 'procedure' as const, procedure }]),
  ];
}

/** Host milliseconds: never back, with the small delay of a serial line. */
function hostClock(seed: number) {
  const delay = randomStream(seed, 'line delay');
  let lastMs = 0;
  const notBefore = (ms: number): number => {
    lastMs = Math.max(lastMs, Math.round(ms * 1000) / 1000);
    return lastMs;
  };
  return {
    recorded: (tS: number): number => notBefore(1000 * tS),
    arrived: (tS: number): number => notBefore(1000 * tS + 1 + 1.5 * delay.uniform()),
  };
}

/** What the bridge itself writes into the recording: the link went down, or up again. */
function linkEvents(scene: Scene): (tS: number) => RunEvent[] {
  const { unplugged } = scene.board.line;
  const down = diary(unplugged.map(({ fromS }) => fromS));
  const up = diary(unplugged.map(({ toS }) => toS));
  return (tS) => [
    ...(down(tS) ? [{ kind: 'link' as const, up: false }] : []),
    ...(up(tS) ? [{ kind: 'link' as const, up: true }] : []),
  ];
}

/**
 * The whole run of a scene as records, from the bench event to the last sample, made as they are asked for.
 * A pure function of the scene: the same scene gives the same records.
 */
export function* simulateRun(scene: Scene): Generator<RecordLine, void, undefined> {
  const clock = hostClock(scene.seed);
  const recorded = (event: RunEvent, tS: number): RecordLine => ({
    ms: clock.recorded(tS),
    mark: '!',
    payload: JSON.stringify(event),
  });
  for (const event of openingEvents(scene)) yield recorded(event, 0);
  const { line } = scene.board;
  const board = createBoard(scene.board);
  const way = createWay(line, randomStream(scene.seed, 'line faults'));
  const rebootsNow = diary(line.rebootsAtS);
  const linkNow = linkEvents(scene);
  let silentUntilS = 0;
  for (const { physical, analog } of moments(scene)) {
    const { tS } = physical;
    for (const event of physical.events) yield recorded(event, tS);
    for (const event of linkNow(tS)) yield recorded(event, tS);
    if (rebootsNow(tS)) {
      silentUntilS = tS + line.rebootSilenceS;
      board.reboot(tS);
    }
    if (tS < silentUntilS) continue;
    for (const sent of board.sample(physical, analog)) {
      const payload = way(sent, tS);
      if (payload !== null) yield { ms: clock.arrived(tS), mark: '<', payload };
    }
  }
}
