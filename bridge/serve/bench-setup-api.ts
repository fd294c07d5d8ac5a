import type { IncomingMessage, ServerResponse } from 'node:http';
import * as v from 'valibot';
import type { BenchSetup } from '../bench-setup/bench-setup.ts';
import { type Asked, isRouteName, ROUTES, type RouteName } from '../bench-setup/routes.ts';
import { message } from '../messages/catalogue.ts';
import { type AccessRules, originAllowed, roleOf } from './access.ts';
import { addressOf, answer, answerJson, type HttpHandler } from './http-files.ts';
import type { Role } from './page-protocol.ts';

/** A bench file with long notes of its own fits; nothing that is no bench file does. */
const MOST_BODY_BYTES = 200_000;

/** Answers what is under `/api/`, and leaves the rest to `next`. Host is checked before. */
export function benchSetupApi(
  rules: () => AccessRules,
  setup: BenchSetup | null,
  next: HttpHandler,
): HttpHandler {
  return (request, response) => {
    const url = addressOf(request);
    if (url === null) return answer(response, 400, 'That is no address.');
    if (!url.pathname.startsWith('/api/')) return next(request, response);
    const role = roleFor(rules(), request);
    if (typeof role === 'number') return answer(response, role, 'Not for this page.');
    const name = url.pathname.slice('/api/'.length);
    if (setup !== null && name === 'drop')
      void reply(response, () => setup.drop(url.searchParams.get('name') ?? '', request));
    else if (setup !== null && isRouteName(name))
      void reply(response, async () => answerOf(setup, name, await readJson(request), role === 'teach'));
    else answer(response, 404, 'Not here.');
  };
}

/** Only our own page may ask, and only one that may steer. Its role, or the HTTP status of the refusal. */
function roleFor(rules: AccessRules, request: IncomingMessage): Role | number {
  if (request.method !== 'POST') return 405;
  if (!originAllowed(rules, request)) return 403;
  const token = request.headers.authorization?.replace(/^Bearer /, '') ?? '';
  const role = roleOf(rules, request, token, 'steer');
  return role === null || role === 'watch' ? 401 : role;
}

function answerOf<Name extends RouteName>(
  setup: BenchSetup,
  name: Name,
  body: unknown,
  isTeacher: boolean,
): unknown {
  const parsed = v.safeParse(ROUTES[name], body);
  if (!parsed.success) return { ok: false, ...message('asked-oddly') };
  // The schema of a route gives what its method takes: `Routed` sees to it.
  const method = setup[name] as (asked: Asked<Name>, isTeacher: boolean) => unknown;
  return method.call(setup, parsed.output as Asked<Name>, isTeacher);
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

async function reply(response: ServerResponse, work: () => Promise<unknown>): Promise<void> {
  try {
    answerJson(response, await work());
  } catch (error) {
    answerJson(response, { ok: false, ...message('bridge-failed', { message: (error as Error).message }) });
  }
}
