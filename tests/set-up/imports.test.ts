import { spawnSync } from 'node:child_process';
import { cpSync, mkdirSync, mkdtempSync, readFileSync, rmSync, symlinkSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { dirname, join, relative } from 'node:path';
import { fileURLToPath } from 'node:url';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';

/** The rules of `.dependency-cruiser.mjs` on a tree of small files, each with one import that is or is not allowed. */

const REPOSITORY = fileURLToPath(new URL('../..', import.meta.url));

interface Violation {
  from: string;
  to: string;
  rule: { name: string };
}

interface Report {
  summary: { violations: Violation[] };
}

/** What a file may not import, and the rule that says so. A target is a file, or a package by its bare name. */
const FORBIDDEN: [from: string, to: string, rule: string][] = [
  ['firmware-protocol', 'bridge/calc-core/message.ts', 'only-what-firmware-protocol-may-import'],
  ['firmware-protocol', 'node:fs', 'knows-nothing-of-node'],
  ['bridge/calc-core', 'bridge/run/run.ts', 'only-what-bridge-calc-core-may-import'],
  ['bridge/calc-core', 'bridge/messages/catalogue.ts', 'only-what-bridge-calc-core-may-import'],
  ['bridge/calc-core', 'firmware-protocol/frames.ts', 'only-what-bridge-calc-core-may-import'],
  ['bridge/calc-core', 'node:fs', 'knows-nothing-of-node'],
  ['bridge/messages', 'bridge/calc-core/outcome.ts', 'only-what-bridge-messages-may-import'],
  ['bridge/messages', 'bridge/run/view.ts', 'only-what-bridge-messages-may-import'],
  ['bridge/samples', 'bridge/bench/bench-file.ts', 'only-what-bridge-samples-may-import'],
  ['bridge/samples', 'bridge/run/view.ts', 'only-what-bridge-samples-may-import'],
  ['bridge/bench', 'bridge/run/view.ts', 'only-what-bridge-bench-may-import'],
  ['bridge/bench', 'bridge/serial/serial-source.ts', 'only-what-bridge-bench-may-import'],
  ['bridge/bench', 'node:fs', 'knows-nothing-of-node'],
  ['bridge/detect', 'bridge/run/view.ts', 'only-what-bridge-detect-may-import'],
  ['bridge/detect', 'bridge/recording/write.ts', 'only-what-bridge-detect-may-import'],
  ['bridge/detect/estimate', 'bridge/session/run-session.ts', 'only-what-bridge-detect-may-import'],
  ['bridge/run', 'bridge/recording/write.ts', 'only-what-bridge-run-may-import'],
  ['bridge/run', 'bridge/session/run-session.ts', 'only-what-bridge-run-may-import'],
  ['bridge/run', 'bridge/serve/server.ts', 'only-what-bridge-run-may-import'],
  ['bridge/run', 'bridge/report/report-json.ts', 'only-what-bridge-run-may-import'],
  ['bridge/run', 'node:fs', 'knows-nothing-of-node'],
  ['bridge/run/findings', 'ws', 'only-some-use-ws'],
  ['bridge/simulate', 'bridge/session/run-session.ts', 'only-what-bridge-simulate-may-import'],
  ['bridge/recording', 'bridge/run/view.ts', 'only-what-bridge-recording-may-import'],
  ['bridge/serial', 'bridge/recording/write.ts', 'only-what-bridge-serial-may-import'],
  ['bridge/serial', 'bridge/session/run-session.ts', 'only-what-bridge-serial-may-import'],
  ['bridge/check-board', 'bridge/run/run.ts', 'only-what-bridge-check-board-may-import'],
  ['bridge/session', 'bridge/serial/serial-source.ts', 'only-what-bridge-session-may-import'],
  ['bridge/session', 'bridge/serve/page-protocol.ts', 'only-what-bridge-session-may-import'],
  ['bridge/bench-setup', 'bridge/serve/page-protocol.ts', 'only-what-bridge-bench-setup-may-import'],
  ['bridge/serve', 'bridge/simulate/hand-commands.ts', 'only-what-bridge-serve-may-import'],
  ['web/app', 'web/setup/set-up.ts', 'only-what-web-app-may-import'],
  ['bridge/session', 'bridge/report/report-json.ts', 'only-what-bridge-session-may-import'],
  ['bridge/session', 'serialport', 'only-some-use-serialport'],
  ['bridge/report', 'bridge/serve/server.ts', 'only-what-bridge-report-may-import'],
  ['bridge/report', 'bridge/recording/write.ts', 'only-what-bridge-report-may-import'],
  ['bridge/emulate', 'bridge/session/run-session.ts', 'only-what-bridge-emulate-may-import'],
  ['bridge/bench-setup', 'bridge/commands/run.ts', 'only-what-bridge-bench-setup-may-import'],
  ['bridge/bench-setup', 'bridge/session/run-from-recording.ts', 'only-workers-work-for-long'],
  ['bridge/bench-setup', 'bridge/bench-setup/plan-bench.ts', 'only-workers-work-for-long'],
  ['bridge/serve', 'bridge/session/replay-session.ts', 'only-workers-work-for-long'],
  ['bridge/serve', 'bridge/commands/run.ts', 'only-what-bridge-serve-may-import'],
  ['bridge/serve', 'bridge/recording/write.ts', 'only-what-bridge-serve-may-import'],
  ['bridge/commands', 'web/app/store.ts', 'only-what-bridge-commands-may-import'],
  ['bridge/commands', 'tests/set-up/helper.ts', 'nothing-of-tests'],
  ['bridge/brand-new', 'bridge/run/view.ts', 'folder-has-a-row'],
  ['web/texts', 'web/app/store.ts', 'only-what-web-texts-may-import'],
  ['web/plots', 'web/run/run-page.tsx', 'only-what-web-plots-may-import'],
  ['web/run', 'web/setup/bench-page.tsx', 'only-what-web-run-may-import'],
  ['web/result', 'bridge/run/run.ts', 'only-what-web-result-may-import'],
  ['web/result', 'bridge/calc-core/ratio-fit.ts', 'page-values-are-pure'],
  ['web/setup', 'bridge/serve/page-protocol.ts', 'page-values-are-pure'],
  ['web/setup', 'firmware-protocol/frames.ts', 'only-what-web-setup-may-import'],
];

const ALLOWED: [from: string, to: string][] = [
  ['bridge/messages', 'bridge/calc-core/message.ts'],
  ['bridge/detect/estimate', 'bridge/detect/window.ts'],
  ['bridge/run', 'bridge/recording/record.ts'],
  ['bridge/serve', 'ws'],
  ['bridge/recording', 'node:fs'],
  ['web/result', 'bridge/calc-core/rounding.ts'],
];

/** Each is a circle of two files; the first one imports types only. */
const CIRCLES = [
  'firmware-protocol',
  'bridge/calc-core',
  'bridge/run',
  'bridge/bench',
  'bridge/session',
  'web/plots',
];

let root: string;
let report: Report;
let status: number | null;

const put = (path: string, text: string) => {
  mkdirSync(dirname(join(root, path)), { recursive: true });
  writeFileSync(join(root, path), text);
};

const isFile = (target: string) => /\.tsx?$/.test(target);

/** Beside a type import, which must not hide that a value comes from there, too. */
function importOf(from: string, to: string): string {
  if (!isFile(to)) return `import * as all from '${to}';\nexport const used = all;\n`;
  const path = relative(from, to);
  const place = path.startsWith('.') ? path : `./${path}`;
  return `import type { Thing } from '${place}';\nimport { thing } from '${place}';\nexport const used: Thing = thing;\n`;
}

const plant = (planted: readonly [from: string, to: string, ...rest: string[]][], name: string) => {
  for (const [index, [from, to]] of planted.entries()) {
    put(`${from}/${name}-${index}.ts`, importOf(from, to));
    if (isFile(to)) put(to, 'export type Thing = number;\nexport const thing: Thing = 1;\n');
  }
};

beforeAll(() => {
  root = mkdtempSync(join(tmpdir(), 'tenwire-imports-'));
  for (const file of ['.dependency-cruiser.mjs', 'package.json', 'tsconfig.json'])
    cpSync(join(REPOSITORY, file), join(root, file));
  symlinkSync(join(REPOSITORY, 'node_modules'), join(root, 'node_modules'));
  plant(FORBIDDEN, 'forbidden');
  plant(ALLOWED, 'allowed');
  for (const folder of CIRCLES) {
    put(`${folder}/circle-a.ts`, "import type { B } from './circle-b.ts';\nexport type A = B | null;\n");
    put(`${folder}/circle-b.ts`, "import type { A } from './circle-a.ts';\nexport type B = { a: A };\n");
  }
  status = check().status;
  report = JSON.parse(check('--output-type', 'json').stdout);
});

const check = (...options: string[]) =>
  spawnSync('npm', ['run', '--silent', 'check:imports', '--', ...options], { cwd: root, encoding: 'utf8' });

afterAll(() => rmSync(root, { recursive: true, force: true }));

const rulesBrokenBy = (file: string): string[] =>
  report.summary.violations.filter(({ from }) => from === file).map(({ rule }) => rule.name);

describe('the import check', () => {
  it('is part of npm run check, and fails', () => {
    const { scripts } = JSON.parse(readFileSync(join(REPOSITORY, 'package.json'), 'utf8'));
    expect(scripts.check).toContain('npm run check:imports');
    expect(status).toBeGreaterThan(0);
  });

  for (const [index, [from, to, rule]] of FORBIDDEN.entries()) {
    it(`sees that ${from} imports ${to}`, () => {
      expect(rulesBrokenBy(`${from}/forbidden-${index}.ts`)).toContain(rule);
    });
  }

  for (const [index, [from, to]] of ALLOWED.entries()) {
    it(`lets ${from} import ${to}`, () => {
      expect(rulesBrokenBy(`${from}/allowed-${index}.ts`)).toEqual([]);
    });
  }

  for (const folder of CIRCLES) {
    it(`sees a circle of types in ${folder}`, () => {
      expect(rulesBrokenBy(`${folder}/circle-a.ts`)).toEqual(['no-circle']);
    });
  }
});
