// How much code there is and how long its functions are: `npm run measure`, or `npm run measure -- REVISION` for a commit.
// Lines without blank and comment lines; functions with a name, from their first line to their last, nested ones inside
// the outer. Tables of texts do not count.
import { execFileSync } from 'node:child_process';
import { readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { parseSync, Visitor } from 'rolldown/utils';

const FOLDERS = ['bridge', 'web', 'firmware-protocol'];
// The last two are what the tables were called up to f859b40.
const TEXTS = /^(web\/texts\/|bridge\/(messages|words)\/|bridge\/calc-core\/(messages|words)\.ts$)/;
const LONGEST_SHOWN = 10;

const root = fileURLToPath(new URL('..', import.meta.url));
const git = (...args) => execFileSync('git', args, { cwd: root, encoding: 'utf8', maxBuffer: 2 ** 28 });
const revision = process.argv[2];

const names = revision
  ? git('ls-tree', '-r', '--name-only', revision, ...FOLDERS)
  : git('ls-files', ...FOLDERS);
const files = names.split('\n').filter((path) => /\.tsx?$/.test(path) && !TEXTS.test(path));
const textOf = (path) =>
  revision ? git('show', `${revision}:${path}`) : readFileSync(`${root}${path}`, 'utf8');

/** Lines that hold more than blanks and comments. A comment in JSX leaves its braces, with blanks between them. */
function countLines(text, comments) {
  let code = text;
  for (const { start, end } of comments)
    code = code.slice(0, start) + code.slice(start, end).replace(/[^\n]/g, ' ') + code.slice(end);
  return code.split('\n').filter((line) => !/^\s*(\{\s+\})?\s*$/.test(line)).length;
}

const isFunction = (node) => /^(ArrowFunctionExpression|FunctionExpression)$/.test(node?.type ?? '');

/** Every named function that stands in no other named one. */
function functionsOf(program, text) {
  const found = [];
  const add = (name, node) => found.push({ name: name ?? 'constructor', start: node.start, end: node.end });
  const keyOf = ({ key }) => key.name ?? key.value ?? text.slice(key.start, key.end);
  new Visitor({
    FunctionDeclaration: (node) => add(node.id?.name, node),
    VariableDeclarator: (node) => isFunction(node.init) && add(node.id.name, node),
    MethodDefinition: (node) => node.value.body && add(keyOf(node), node),
    PropertyDefinition: (node) => isFunction(node.value) && add(keyOf(node), node),
    Property: (node) => isFunction(node.value) && add(keyOf(node), node),
  }).visit(program);
  const outermost = found.filter(
    (one) => !found.some((other) => other !== one && other.start <= one.start && other.end >= one.end),
  );
  const lineAt = (offset) => text.slice(0, offset).split('\n').length;
  return outermost.map(({ name, start, end }) => ({
    name,
    line: lineAt(start),
    lines: lineAt(end) - lineAt(start) + 1,
  }));
}

function measure(path) {
  const text = textOf(path);
  const { program, comments, errors } = parseSync(path, text);
  if (errors.length > 0) throw new Error(`${path}: ${errors[0].message}`);
  const functions = functionsOf(program, text).map((one) => ({ ...one, path }));
  return { lines: countLines(text, comments), functions };
}

const measured = files.map(measure);
const lines = measured.reduce((sum, file) => sum + file.lines, 0);
const functions = measured.flatMap((file) => file.functions).sort((a, b) => a.lines - b.lines);
const quantile = (part) => functions[Math.ceil(part * functions.length) - 1].lines;

console.log(`${revision ?? 'working tree'}: ${lines} lines in ${files.length} files`);
console.log(`${functions.length} functions: median ${quantile(0.5)} lines, 9 in 10 at most ${quantile(0.9)}`);
console.log(`over 60 lines: ${functions.filter((one) => one.lines > 60).length}; the longest:`);
for (const one of functions.slice(-LONGEST_SHOWN).reverse())
  console.log(`${String(one.lines).padStart(6)}  ${one.name}  ${one.path}:${one.line}`);
