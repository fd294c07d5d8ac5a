import { execFileSync, spawn } from 'node:child_process';
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { onTestFinished } from 'vitest';
import { until } from '../until.ts';

/** Boards with a real boot loader in simavr: see `boot-board.c`. */

const LOADERS = '/usr/share/arduino/hardware/arduino/avr/bootloaders';
export const NEWER = [`${LOADERS}/optiboot/optiboot_atmega328.hex`, '--start', '0x7e00'];
export const OLDER = [`${LOADERS}/atmega/ATmegaBOOT_168_atmega328.hex`, '--start', '0x7800'];
export const OTHER_CHIP = [`${LOADERS}/optiboot/optiboot_atmega168.hex`, '--start', '0x3e00'];

export interface BootBoard {
  path: string;
  /** Takes the cable out after so many more bytes, and plugs it in again. */
  pullAfter(bytes: number): void;
  wasPulled(): boolean;
}

export class Workshop {
  readonly folder = mkdtempSync(join(tmpdir(), 'tenwire-boot-'));
  readonly #program = join(this.folder, 'boot-board');

  constructor() {
    const source = new URL('boot-board.c', import.meta.url).pathname;
    execFileSync('cc', ['-O2', '-Wall', '-Werror', '-o', this.#program, source, '-lsimavr', '-lutil']);
  }

  /** Runs until the test is over: a chip takes a good part of a processor. */
  async board(chip: string, flash: readonly string[]): Promise<BootBoard> {
    const path = join(this.folder, `board-${chip}`);
    const child = spawn(this.#program, [chip, path, ...flash], { stdio: ['pipe', 'pipe', 'ignore'] });
    let said = '';
    child.stdout.on('data', (text) => {
      said += text;
    });
    const ended = new Promise<void>((resolve) => child.once('close', () => resolve()));
    onTestFinished(() => {
      child.stdin.end();
      return ended;
    });
    await until(() => said.includes('ready'), 'the board');
    return {
      path,
      pullAfter: (bytes) => child.stdin.write(`pull ${bytes}\n`),
      wasPulled: () => said.includes('pulled'),
    };
  }

  close(): void {
    rmSync(this.folder, { recursive: true });
  }
}
