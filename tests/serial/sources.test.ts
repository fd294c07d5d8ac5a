import { rmSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { openRecording } from '../../bridge/recording/read.ts';
import { formatRecord, RECORDING_HEADER } from '../../bridge/recording/record.ts';
import { SerialSource } from '../../bridge/serial/serial-source.ts';
import { PacedSource } from '../../bridge/session/paced-source.ts';
import { DEFAULT_SCENE } from '../../bridge/simulate/default-scene.ts';
import { simulateRun } from '../../bridge/simulate/simulate-run.ts';
import { answerQuestions, sampleOf } from './board.ts';
import { sourceContract } from './contract.ts';
import { plugIn, temporaryFolder } from './pty.ts';

sourceContract('serial port', async () => {
  const folder = temporaryFolder();
  const pty = await plugIn(join(folder, 'port'));
  const stopAnswering = answerQuestions(pty, 'b1');
  let seq = 0;
  let timer: NodeJS.Timeout | undefined;
  return {
    source: new SerialSource({ path: pty.path, baudRate: 115200, rateHz: null }),
    send: () => {
      timer ??= setInterval(() => {
        pty.send(`${sampleOf(seq)}\n`);
        seq += 1;
      }, 2);
    },
    letGo: async () => {
      stopAnswering();
      clearInterval(timer);
      await pty.unplug();
      rmSync(folder, { recursive: true });
    },
  };
});

sourceContract('simulated bench', async () => ({
  source: new PacedSource('simulated', simulateRun(DEFAULT_SCENE), 5),
  send: () => {},
  letGo: async () => {},
}));

sourceContract('replay', async () => {
  const folder = temporaryFolder();
  const path = join(folder, 'a.rec');
  const records = [];
  for (const record of simulateRun(DEFAULT_SCENE)) {
    records.push(formatRecord(record));
    if (records.length >= 2000) break;
  }
  writeFileSync(path, [RECORDING_HEADER, ...records, ''].join('\n'));
  const opened = openRecording(path);
  if (!opened.ok) throw new Error(opened.fault.text);
  const { reader } = opened;
  return {
    source: new PacedSource('replay', reader.records, 20, () => reader.close()),
    send: () => {},
    letGo: async () => rmSync(folder, { recursive: true }),
  };
});
