import { mkdtempSync, readdirSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { ReportJson } from '../../bridge/report/report-json.ts';
import { builtTenwire, pageAddress, type Running } from '../cli/tenwire.ts';
import { type BenchAtPort, openBenchAtPort } from './bench-at-port.ts';
import { launchChromium, openPage } from './browser.ts';

type Opened = Awaited<ReturnType<typeof openPage>>;

/** The program as it is shipped, a browser and a bench at a port, in a folder of their own. */
export interface ShippedStand {
  folder: string;
  bench: BenchAtPort;
  /** Starts a bridge without a run at an HTTP port, 0 for any; answers once it has said where its page is. */
  serve(httpPort: string): Promise<{ serving: Running; address: string }>;
  /** A page whose reader has seen the cautions. */
  openAt(address: string, viewport?: { width: number; height: number }): Promise<Opened>;
  /** File names of the recordings so far. */
  recordings(): string[];
  /** What the program itself reports of one. */
  reportOf(file: string): ReportJson;
  /** Ends the bridge, if there is one yet, and everything else. */
  close(serving: Running | undefined): Promise<void>;
}

/** @param speed of the bench, times real time, as far as the computer keeps up with the emulated board */
export async function openShippedStand(
  name: string,
  speed: number,
  patienceMs: number,
): Promise<ShippedStand> {
  const folder = mkdtempSync(join(tmpdir(), `tenwire-${name}-`));
  const browser = await launchChromium();
  const tenwire = builtTenwire();
  const bench = await openBenchAtPort(folder, speed);
  return {
    folder,
    bench,
    async serve(httpPort) {
      const serving = tenwire.start(['serve', '--http-port', httpPort], { cwd: folder });
      return { serving, address: await pageAddress(serving, patienceMs) };
    },
    async openAt(address, viewport) {
      const opened = await openPage(browser, 'about:blank', viewport === undefined ? {} : { viewport });
      opened.page.setDefaultTimeout(patienceMs);
      await opened.page.addInitScript(() => localStorage.setItem('tenwire.cautions', 'read'));
      await opened.page.goto(address);
      return opened;
    },
    recordings: () => readdirSync(join(folder, 'recordings')).filter((file) => file.endsWith('.rec')),
    reportOf(file) {
      const { code, out, err } = tenwire.run(['report', '--json', join(folder, 'recordings', file)]);
      if (code !== 0) throw new Error(err);
      return JSON.parse(out);
    },
    async close(serving) {
      serving?.child.kill('SIGKILL');
      await serving?.ended;
      await bench.at.close();
      await browser.close();
      rmSync(folder, { recursive: true, force: true });
    },
  };
}
