import type { IncomingMessage, ServerResponse } from 'node:http';
import * as v from 'valibot';
import { message } from '../messages/catalogue.ts';
import { PROCEDURES } from '../run/procedure.ts';
import { type AccessRules, originAllowed, roleOf } from './access.ts';
import { addressOf, answer, answerJson, type HttpHandler } from './http-files.ts';
import type { ExportKind } from './page-protocol.ts';
import type { ServedBenchSetup } from './served-bench-setup.ts';

/** A bench file with long notes of its own fits; nothing that is no bench file does. */
const MOST_BODY_BYTES = 200_000;

const text = v.pipe(v.string(), v.maxLength(300));
const finite = v.pipe(v.number(), v.finite());
const positive = v.pipe(finite, v.gtValue(0));
const baud = v.pipe(v.number(), v.integer(), v.minValue(300), v.maxValue(4_000_000));

const bodies = {
  listen: v.object({ port: text, baud }),
  hold: v.object({ from: text }),
  fit: v.object({
    points: v.pipe(v.array(v.object({ counts: finite, scaleCm: finite })), v.maxLength(100)),
  }),
  scale: v.union([
    v.object({ zeroCounts: finite, counts: finite, knownUa: finite }),
    v.object({ spanV: positive, counts: positive, gain: positive, shuntOhm: positive }),
  ]),
  bench: v.object({ file: text, bench: v.unknown(), run: v.nullable(text) }),
  plan: v.object({
    bench: v.unknown(),
    rheostatOhm: v.tuple([finite, finite]),
    driverResistanceOhm: finite,
    sets: v.pipe(v.number(), v.integer(), v.minValue(1), v.maxValue(50)),
    uReadCm: finite,
  }),
  start: v.object({
    port: text,
    baud,
    file: text,
    by: v.pipe(v.array(text), v.maxLength(20)),
    temperatureC: v.nullable(finite),
    procedure: v.picklist(PROCEDURES),
  }),
  resume: v.object({ port: text, baud, file: text }),
  replay: v.object({ file: text }),
  close: v.object({ session: text }),
};

const EXPORTS: ExportKind[] = ['page', 'json', 'sets', 'nulls'];
/** What a browser calls a page of another origin; another port of this machine is the same site. */
const FOREIGN_SITES: unknown[] = ['cross-site', 'same-site'];
const NOT_KNOWN = { ok: false, ...message('asked-oddly') };

type Asked = { path: string; query: URLSearchParams; request: IncomingMessage };
type Route = (setup: ServedBenchSetup, asked: Asked) => unknown;

const gets: Record<string, Route> = {
  '/api/ports': (setup) => setup.ports(),
  '/api/counts': (setup, { query }) => setup.counts(query.get('from') ?? ''),
  '/api/benches': (setup) => setup.benches(),
  '/api/bench': (setup, { query }) => setup.bench(query.get('file') ?? ''),
  '/api/recordings': (setup) => setup.recordings(),
  '/api/export': (setup, { query }) => {
    const kind = EXPORTS.find((one) => one === query.get('as'));
    return kind === undefined ? NOT_KNOWN : setup.exportRun(query.get('session') ?? '', kind);
  },
  '/api/whole': (setup, { query }) => setup.whole(query.get('file') ?? ''),
};

const posts: Record<string, Route> = {
  '/api/listen': withBody(bodies.listen, (setup, { port, baud }) => setup.listen(port, baud)),
  '/api/hold': withBody(bodies.hold, (setup, { from }) => setup.hold(from)),
  '/api/fit': withBody(bodies.fit, (setup, { points }) => setup.fit(points)),
  '/api/scale': withBody(bodies.scale, (setup, order) => setup.scale(order)),
  '/api/bench': withBody(bodies.bench, (setup, { file, bench, run }) => setup.saveBench(file, bench, run)),
  '/api/plan': withBody(bodies.plan, (setup, { bench, ...wishes }) => setup.plan(bench, wishes)),
  '/api/start': withBody(bodies.start, (setup, order) => setup.start(order)),
  '/api/resume': withBody(bodies.resume, (setup, order) => setup.resume(order)),
  '/api/replay': withBody(bodies.replay, (setup, { file }) => setup.replay(file)),
  '/api/close': withBody(bodies.close, (setup, { session }) => setup.end(session)),
  '/api/drop': (setup, { query, request }) => setup.drop(query.get('name') ?? '', request),
};

function withBody<Body>(
  schema: v.GenericSchema<unknown, Body>,
  route: (setup: ServedBenchSetup, body: Body) => unknown,
): Route {
  return async (setup, { request }) => {
    const parsed = v.safeParse(schema, await readJson(request));
    return parsed.success ? route(setup, parsed.output) : NOT_KNOWN;
  };
}

/** The JSON of a request's body; undefined where it is none or too long. */
async function readJson(request: IncomingMessage): Promise<unknown> {
  const chunks: Buffer[] = [];
  let bytes = 0;
  for await (const chunk of request) {
    bytes += chunk.length;
    if (bytes > MOST_BODY_BYTES) return undefined;
    chunks.push(chunk);
  }
  try {
    return JSON.parse(Buffer.concat(chunks).toString('utf8'));
  } catch {
    return undefined;
  }
}

/** Answers what is under `/api/`, and leaves the rest to `next`. Host is checked before. */
export function benchSetupApi(
  rules: () => AccessRules,
  setup: ServedBenchSetup | null,
  next: HttpHandler,
): HttpHandler {
  return (request, response) => {
    const url = addressOf(request);
    if (url === null) return answer(response, 400, 'That is no address.');
    if (!url.pathname.startsWith('/api/')) return next(request, response);
    const routes = request.method === 'POST' ? posts : gets;
    const route = Object.hasOwn(routes, url.pathname) ? routes[url.pathname] : undefined;
    const refusal = refusalOf(rules(), request);
    if (refusal !== null) return answer(response, refusal, 'Not for this page.');
    if (route === undefined || setup === null) return answer(response, 404, 'Not here.');
    void reply(response, () => route(setup, { path: url.pathname, query: url.searchParams, request }));
  };
}

/**
 * Another site's page may neither change nor read anything: a POST must come from our own page; a GET that names
 * an origin must name ours. A foreign page's image or link names none: there the browser itself says whose it is.
 */
function refusalOf(rules: AccessRules, request: IncomingMessage): number | null {
  const { origin, authorization } = request.headers;
  if (FOREIGN_SITES.includes(request.headers['sec-fetch-site'] ?? '')) return 403;
  if ((request.method === 'POST' || origin !== undefined) && !originAllowed(rules, request)) return 403;
  if (request.method !== 'POST' && request.method !== 'GET') return 405;
  const token = authorization?.replace(/^Bearer /, '') ?? '';
  return roleOf(rules, request, token, 'steer') === 'steer' ? null : 401;
}

async function reply(response: ServerResponse, work: () => unknown): Promise<void> {
  try {
    answerJson(response, await work());
  } catch (error) {
    answerJson(response, { ok: false, ...message('bridge-failed', { message: (error as Error).message }) });
  }
}
