import axe from 'axe-core';
import type { Page } from 'playwright-core';

/** What axe-core finds amiss on a page as it stands, all that can be opened opened. */
export async function axeFaults(page: Page): Promise<string[]> {
  await page.evaluate(() => {
    for (const details of document.querySelectorAll('details')) details.open = true;
  });
  await page.evaluate(axe.source);
  return page.evaluate(async () => {
    const results = await (globalThis as unknown as { axe: typeof axe }).axe.run();
    return results.violations.map((one) => `${one.id}: ${one.nodes.map((node) => node.html).join(' | ')}`);
  });
}
