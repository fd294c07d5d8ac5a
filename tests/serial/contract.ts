import { afterEach, describe, expect, it } from 'vitest';
import type { LineSource } from '../../bridge/serial/line-source.ts';
import { decodeLine } from '../../firmware-protocol/decode.ts';
import { settle, until } from '../until.ts';
import { Heard } from './heard.ts';

export interface SourceStand {
  source: LineSource;
  /** Lets the board say something once the source has been started. */
  send(): void;
  /** Pulls whatever the source lives on. */
  letGo(): Promise<void>;
}

/** What holds for every source of lines, whatever is behind it. */
export function sourceContract(name: string, build: () => Promise<SourceStand>): void {
  describe(`the contract of a source: ${name}`, () => {
    let stand: SourceStand | null = null;

    async function begin(): Promise<{ source: LineSource; heard: Heard; send: () => void }> {
      stand = await build();
      return { source: stand.source, heard: new Heard(), send: stand.send };
    }

    afterEach(async () => {
      await stand?.source.close();
      await stand?.letGo();
      stand = null;
    });

    it('passes nothing on before it is started', async () => {
      const { heard, send } = await begin();
      send();
      await settle(40);
      expect(heard.all).toEqual([]);
    });

    it('starts without a fault and delivers lines that can be read, in order', async () => {
      const { source, heard, send } = await begin();
      expect(await source.start(heard)).toBeNull();
      send();
      await until(() => heard.samples.length >= 20, 'twenty samples came');
      const numbers = heard.samples
        .map((line) => decodeLine(line))
        .map((frame) => (frame.type === 'S' ? frame.seq : -1));
      expect(numbers).toEqual(numbers.map((_, index) => numbers[0] + index));
    });

    it('keeps its own time, where it has one, never going back', async () => {
      const { source, heard, send } = await begin();
      await source.start(heard);
      send();
      await until(() => heard.samples.length >= 20, 'twenty samples came');
      const times = heard.all.flatMap((item) =>
        item.kind === 'record' && item.record !== 'unreadable' ? [item.record.ms] : [],
      );
      expect(times).toEqual([...times].sort((a, b) => a - b));
    });

    it('is up at most once before it is down, with a sentence for each state of the link', async () => {
      const { source, heard, send } = await begin();
      await source.start(heard);
      send();
      await until(() => heard.samples.length >= 20, 'twenty samples came');
      for (const item of heard.all) if (item.kind === 'link') expect(item.status.text).not.toBe('');
      expect(heard.ups.length).toBeLessThanOrEqual(1);
    });

    it('passes nothing on once it is closed, and may be closed twice', async () => {
      const { source, heard, send } = await begin();
      await source.start(heard);
      send();
      await until(() => heard.samples.length > 0, 'a sample came');
      await source.close();
      await source.close();
      const told = heard.all.length;
      send();
      await settle(40);
      expect(heard.all.length).toBe(told);
    });

    it('does not claim to have sent what it can not send', async () => {
      const { source, heard, send } = await begin();
      expect(source.send('R,100')).toBe(false);
      await source.start(heard);
      send();
      await until(() => heard.samples.length > 0, 'a sample came');
      await source.close();
      expect(source.send('R,100')).toBe(false);
    });
  });
}
