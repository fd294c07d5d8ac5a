import { readFileSync } from 'node:fs';
import type { Command } from '../../firmware-protocol/commands.ts';
import type { BadLine, Frame, OtherFrame } from '../../firmware-protocol/frames.ts';

interface Vectors {
  crc: { text: string; crc: string }[];
  lines: { note: string; line: string; expect: Frame | BadLine }[];
  commands: { note: string; line: string; expect: Command | BadLine }[];
  encode: { frame: Exclude<Frame, OtherFrame>; line: string }[];
}

export const vectors: Vectors = JSON.parse(
  readFileSync(new URL('../../firmware-protocol/vectors.json', import.meta.url), 'utf8'),
);
