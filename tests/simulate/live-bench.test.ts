import { expect, test } from 'vitest';
import { COMPARISON, sceneWith } from '../../bridge/simulate/default-scene.ts';
import { createLiveBench } from '../../bridge/simulate/live-bench.ts';
import { randomStream } from '../../bridge/simulate/random.ts';

test('a live bench may be read at any uneven times, as an emulated board does', () => {
  const live = createLiveBench(sceneWith({ task: { ...COMPARISON, rheostatOhm: [4.1], passes: 2 } }));
  const random = randomStream(9, 'uneven times');
  let touching = false;
  let tS = 0;
  let jumps = 0;
  let fineContactS = 0;
  for (let now = live.advance(0); !now.finished; ) {
    const stepS = 0.0001 + 0.003 * random.uniform();
    now = live.advance(tS + stepS);
    for (const jump of now.jumps) {
      expect(jump.atS).toBeGreaterThan(tS - 1e-9);
      expect(jump.atS).toBeLessThanOrEqual(tS + stepS);
      touching = !touching;
    }
    expect(now.contact).toBe(touching);
    if (!now.contact) expect(now.galvanometerUa).toBe(0);
    if (now.contact && !now.switches.protect) fineContactS += stepS;
    jumps += now.jumps.length;
    tS += stepS;
  }
  expect(jumps).toBeGreaterThan(20);
  // Two cells, two passes of some three seconds each.
  expect(fineContactS).toBeGreaterThan(8);
  expect(tS).toBeLessThan(120);
});
