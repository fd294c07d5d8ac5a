import type { Message } from '../calc-core/message.ts';
import { message } from '../messages/catalogue.ts';
import type { ClassGroup } from '../report/class-groups.ts';
import { classGroups } from '../report/class-groups.ts';
import { remarksOf } from '../report/group-texts.ts';
import type { RunView } from '../run/view.ts';
import type { BoardGroup } from './class-board.ts';

export interface ResultRun {
  station: string;
  view: RunView;
}

/** What the runs of a class found together: the same groups and tests as those of the class report. */
export function boardGroups(runs: readonly ResultRun[]): BoardGroup[] {
  // A run goes by the name of its station here.
  return classGroups(runs.map(({ station, view }) => ({ file: station, view }))).map((group) => ({
    measurand: group.measurand,
    quantity: group.quantity,
    unit: group.unit,
    centre: group.centre,
    standardDeviation: group.standardDeviation,
    results: group.results
      .filter(({ copyOf }) => copyOf === null)
      .map(({ run, result: { value, U } }) => ({
        bench: run.view.bench?.name ?? '',
        station: run.file,
        value,
        U,
      })),
    remarks: remarksOf(group).map((remark) => withCauses(remark, group)),
  }));
}

/** What the runs of the bench that lies off say themselves. */
function withCauses(remark: Message, group: ClassGroup): Message {
  const odd = [group.meanTest, group.spreadTest].flatMap((test) =>
    test === null || test.verdict === 'none' ? [] : [group.benches[test.index].name],
  );
  const said = group.results
    .filter(({ run }) => odd.includes(run.view.bench?.name ?? ''))
    .flatMap(({ run }) => run.view.findings.filter(({ severity }) => severity !== 'note'));
  const causes = [...new Map(said.map((finding) => [finding.text, finding])).values()];
  return causes.length === 0
    ? message('bench-says-nothing', { remark })
    : message('bench-says', { remark, causes });
}
