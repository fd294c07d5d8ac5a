import { sealed } from './wire-line.ts';

/** The board of the outside writer: counters that wrap, spans, and what it senses. */

export const CONTACT = 0x01;
export const CELL = 0x02;
export const PROTECT = 0x04;
export const ROW = 0x08;
export const LOAD = 0x10;
export const ALL = 0x1f;

export interface BoardSpec {
  name: string;
  rateHz: number;
  bits: number;
  senses: number;
  channels: ('gal' | 'pos' | 'drv')[];
  firstSeq: number;
  firstTUs: number;
}

export interface Seen {
  gal: number;
  pos: number;
  drv: number;
  contact: boolean;
  cell: number;
  protect: boolean;
  load: boolean;
  row: number;
}

export class OutsideBoard {
  readonly spec: BoardSpec;
  readonly most: number;
  private seq: number;
  private tUs: number;

  constructor(spec: BoardSpec) {
    this.spec = spec;
    this.most = 2 ** spec.bits - 1;
    this.seq = spec.firstSeq;
    this.tUs = spec.firstTUs;
  }

  hello(): string {
    const { name, rateHz, senses } = this.spec;
    return sealed(`H,1,${name},outside-1,${rateHz},${senses.toString(16).toUpperCase().padStart(2, '0')}`);
  }

  spans(): string[] {
    return this.spec.channels.map((channel, index) => sealed(`C,${index},${channel},0,${this.most}`));
  }

  /** Time goes on by a number of microseconds; a sample is taken or not. */
  pass(us: number, samples: number): void {
    this.tUs = (this.tUs + us) % 4294967296;
    this.seq = (this.seq + samples) % 65536;
  }

  restart(): void {
    this.seq = 0;
    this.tUs = 180_000;
  }

  line(seen: Seen): string {
    const { channels, senses } = this.spec;
    const field = (channel: 'gal' | 'pos' | 'drv') =>
      channels.includes(channel) ? `${Math.min(this.most, Math.max(0, Math.round(seen[channel])))}` : '';
    let flags = 0;
    if (senses & CONTACT && seen.contact) flags |= 0x01;
    if (senses & CELL) flags |= seen.cell << 1;
    if (senses & PROTECT && seen.protect) flags |= 0x08;
    if (senses & LOAD && seen.load) flags |= 0x10;
    const row = senses & ROW ? seen.row : 0;
    const hex = flags.toString(16).toUpperCase().padStart(2, '0');
    return sealed(
      `S,${this.seq},${Math.floor(this.tUs)},${field('gal')},${field('pos')},${field('drv')},${row},${hex}`,
    );
  }
}
