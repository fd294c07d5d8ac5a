import type { Formulas } from '../calc-core/formulas.ts';
import type { RecordLine } from '../recording/record.ts';
import { viewBuilder } from './build-view.ts';
import { runEvaluator } from './evaluate.ts';
import { workOut } from './result.ts';
import type { RunState } from './run-state.ts';
import type { TellReading } from './run-state-builder.ts';
import { RunStateBuilder } from './run-state-builder.ts';
import type { RunView } from './view.ts';

export interface RunOptions {
  /** For the calculations; `loadFormulas` of the calc core gives them. */
  formulas: Formulas;
  /** Numbers of the `bench` events that the recording takes back, as `benchesTakenBack` finds them. */
  benchesTakenBack?: ReadonlySet<number>;
}

/**
 * One run: records of its recording in, what is shown of it out. Live runs, replays and reports all go through here, so they
 * agree to the last digit: what it answers depends on the records alone, not on when it was asked, and no clock is read.
 * It never throws on a record. Units stand in names; what is not known is null.
 */
export class Run {
  readonly formulas: Formulas;
  private readonly builder: RunStateBuilder;
  private readonly evaluate: ReturnType<typeof runEvaluator>;
  private readonly buildView = viewBuilder();

  constructor({ formulas, benchesTakenBack = new Set() }: RunOptions) {
    this.formulas = formulas;
    this.builder = new RunStateBuilder(benchesTakenBack);
    this.evaluate = runEvaluator(formulas);
  }

  /** Another object whenever anything but the newest reading may have changed. */
  get state(): RunState {
    return this.builder.state;
  }

  /**
   * Takes the next record; 'unreadable' stands for a line of the file that is none.
   * @param tellReading told of each reading that can be read now
   */
  addRecord(record: RecordLine | 'unreadable', tellReading?: TellReading): void {
    this.builder.addRecord(record, tellReading);
  }

  /**
   * The run or its recording ends here: a touch that is under way counts as far as it came.
   * @param torn the file ended in the middle of a line, which is left out
   */
  end(torn = false): void {
    this.builder.end(torn);
  }

  /** Everything that is known of the run by now. */
  view(): RunView {
    return this.buildView(this.state, this.evaluate(this.state), this.builder.present());
  }

  /**
   * The view with the Monte Carlo check of its intervals (JCGM 101, clause 8): the result's, and that of an EMF by a reference
   * cell. And with the Monte Carlo run's own interval where its ends differ from those of Student's t. It costs some tenths of
   * a second and more, so the live view goes without. Values and standard uncertainties are those of the live view.
   */
  checkedView(seed: number): RunView {
    const { work } = workOut(this.evaluate(this.state), this.formulas, seed);
    return { ...this.view(), work };
  }
}
