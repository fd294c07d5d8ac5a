import { decodeLine } from '../../firmware-protocol/decode.ts';
import type { SampleFrame } from '../../firmware-protocol/frames.ts';
import type { Sample } from '../samples/board.ts';
import { Board } from '../samples/board.ts';
import { BoardClock } from '../samples/board-clock.ts';
import type { EarlySample } from '../samples/early-samples.ts';
import { EarlySamples } from '../samples/early-samples.ts';
import type { BoardState, Losses } from './run-state.ts';

interface Arrived<Circumstances> extends EarlySample {
  afterGap: boolean;
  circumstances: Circumstances;
}

/** A sample with what held when it came; another may hold by the time it can be read. */
export interface Taken<Circumstances> {
  sample: Sample;
  circumstances: Circumstances;
}

/** Lines of a board in, samples out: time unwrapped, losses counted, those that came before the board was known held back. */
export class SampleIntake<Circumstances> {
  samples = 0;
  /** Another object whenever one of them grows. */
  losses: Losses = { badLines: 0, lostSamples: 0, boots: 0 };
  /** What the board has said of itself: another object whenever it says it. */
  boardState: BoardState;
  private readonly board = new Board();
  private readonly clock = new BoardClock();
  private readonly early = new EarlySamples<Arrived<Circumstances>>();

  constructor() {
    this.boardState = boardStateOf(this.board);
  }

  /** Takes a line as it came, and answers the samples that can be read now. */
  addLine(line: string, ms: number, circumstances: Circumstances): Taken<Circumstances>[] {
    const frame = decodeLine(line);
    switch (frame.type) {
      case 'S':
        return this.addSample(frame, ms, circumstances);
      case 'bad':
        this.countBadLine();
        return [];
      case 'H':
      case 'C':
        this.board.introduce(frame);
        this.boardState = boardStateOf(this.board);
        return this.early.release(this.board).map((arrived) => this.read(arrived));
      default:
        return [];
    }
  }

  countBadLine(): void {
    this.losses = { ...this.losses, badLines: this.losses.badLines + 1 };
  }

  private addSample(frame: SampleFrame, ms: number, circumstances: Circumstances): Taken<Circumstances>[] {
    const { tUs, booted, lost } = this.clock.accept(frame.seq, frame.tUs, ms);
    this.samples += 1;
    const { boots, lostSamples } = this.losses;
    if (booted || boots === 0) this.losses = { ...this.losses, boots: boots + 1 };
    if (lost > 0) this.losses = { ...this.losses, lostSamples: lostSamples + lost };
    const arrived = { frame, tUs, afterGap: booted || lost > 0, circumstances };
    if (this.early.isEmpty && this.board.canRead(frame)) return [this.read(arrived)];
    this.early.hold(arrived);
    return [];
  }

  private read({ frame, tUs, afterGap, circumstances }: Arrived<Circumstances>): Taken<Circumstances> {
    return { sample: this.board.read(frame, tUs, afterGap), circumstances };
  }
}

function boardStateOf(board: Board): BoardState {
  const spans = { gal: board.span('gal'), pos: board.span('pos'), drv: board.span('drv') };
  if (board.hello === null) return { view: null, spans };
  const { board: name, firmware, rateHz } = board.hello;
  const senses = {
    contact: board.senses('contact'),
    cellKey: board.senses('cellKey'),
    protect: board.senses('protect'),
    row: board.senses('row'),
    load: board.senses('load'),
  };
  return { view: { name, firmware, rateHz, senses, channels: board.channels }, spans };
}
