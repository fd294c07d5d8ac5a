import manifest from '../../package.json' with { type: 'json' };
import { aboutRun } from './about.ts';
import type { ClassGroup } from './class-groups.ts';
import { remarksOf } from './group-texts.ts';

/** What a class found as JSON, for scripts: the groups with all their statistics, and each result with whose it is. Exact numbers. */
export function classJson(groups: readonly ClassGroup[]): string {
  const told = groups.map(({ results, ...group }) => ({
    ...group,
    measurand: group.measurand.text,
    remarks: remarksOf({ results, ...group }).map(({ text }) => text),
    results: results.map(({ run: { file, view }, result, check, ...compared }) => ({
      file,
      ...aboutRun(view),
      bench: view.bench?.name ?? null,
      value: result.value,
      u: result.u,
      k: result.k,
      U: result.U,
      intervalChecked: check?.agrees ?? null,
      ...compared,
      findings: view.findings.map(({ code, severity, text }) => ({ code, severity, text })),
    })),
  }));
  return `${JSON.stringify({ program: { name: manifest.name, version: manifest.version }, groups: told }, null, 2)}\n`;
}
