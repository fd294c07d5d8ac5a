import type { RandomStream } from './random.ts';
import type { LineFaults } from './scene.ts';

/** What becomes of a line on its way: itself, damaged, or nothing. */
export type Way = (line: string, tS: number) => string | null;

/** A bit turned over, bytes swallowed, or a line cut short: what cables and buffers do. */
function damage(line: string, random: RandomStream): string {
  const at = Math.floor(random.uniform() * line.length);
  const kind = Math.floor(random.uniform() * 3);
  if (kind === 0) {
    const turned = line.charCodeAt(at) ^ (1 << Math.floor(random.uniform() * 8));
    // A turned bit may not make a line end: the line would arrive as two.
    return turned === 0x0a || turned === 0x0d
      ? line.slice(0, at)
      : line.slice(0, at) + String.fromCharCode(turned) + line.slice(at + 1);
  }
  return kind === 1
    ? line.slice(0, at) + line.slice(at + 1 + Math.floor(random.uniform() * 4))
    : line.slice(0, at);
}

export function createWay(faults: LineFaults, random: RandomStream): Way {
  if (faults.lostShare === 0 && faults.damagedShare === 0 && faults.unplugged.length === 0)
    return (line) => line;
  return (line, tS) => {
    const fate = random.uniform();
    if (faults.unplugged.some(({ fromS, toS }) => tS >= fromS && tS < toS)) return null;
    if (fate < faults.lostShare) return null;
    return fate < faults.lostShare + faults.damagedShare ? damage(line, random) : line;
  };
}
