import { fileURLToPath } from 'node:url';
import { expect, test } from 'vitest';
import { explanationsPlot } from './explanations-plot.ts';

const PICTURE = fileURLToPath(new URL('../../docs/method/explanations.svg', import.meta.url));

test('the picture of docs/uncertainty.md is the one that the script draws', async () => {
  await expect(explanationsPlot()).toMatchFileSnapshot(PICTURE);
});
