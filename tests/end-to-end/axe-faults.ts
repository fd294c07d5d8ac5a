import axe from 'axe-core';
import type { Page } from 'playwright-core';

/** What axe-core finds amiss on a page as it stands, all that can be opened opened, and closed again afterwards. */
export async function axeFaults(page: Page): Promise<string[]> {
  await page.evaluate(axe.source);
  return page.evaluate(async () => {
    const shut = [...document.querySelectorAll('details')].filter((details) => !details.open);
    for (const details of shut) details.open = true;
    const results = await (globalThis as unknown as { axe: typeof axe }).axe.run();
    for (const details of shut) details.open = false;
    return results.violations.map((one) => `${one.id}: ${one.nodes.map((node) => node.html).join(' | ')}`);
  });
}
