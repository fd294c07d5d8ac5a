import type { IncomingMessage, ServerResponse } from 'node:http';
import sirv from 'sirv';
import { message } from '../messages/catalogue.ts';
import { type AccessRules, hostAllowed } from './access.ts';

const HEADERS: Record<string, string> = {
  'Content-Security-Policy':
    "default-src 'none'; script-src 'self'; style-src 'self' 'unsafe-inline'; img-src 'self' data:; connect-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'",
  'X-Content-Type-Options': 'nosniff',
  'Referrer-Policy': 'no-referrer',
  'Cross-Origin-Resource-Policy': 'same-origin',
};

export type HttpHandler = (request: IncomingMessage, response: ServerResponse) => void;

export function answer(response: ServerResponse, status: number, text: string): void {
  response.writeHead(status, { ...HEADERS, 'Content-Type': 'text/plain; charset=utf-8' });
  response.end(`${text}\n`);
}

export function answerJson(response: ServerResponse, value: unknown): void {
  // Made before the head is sent: what can't be made into JSON can then still be answered with a sentence.
  const text = JSON.stringify(value);
  response.writeHead(200, { ...HEADERS, 'Content-Type': 'application/json', 'Cache-Control': 'no-store' });
  response.end(text);
}

/** Where a request goes; null where its target is no address, such as `//`. */
export function addressOf(request: IncomingMessage): URL | null {
  const target = request.url ?? '/';
  return URL.canParse(target, 'http://bridge') ? new URL(target, 'http://bridge') : null;
}

/** A handler's mistake costs the one who asked an answer, never the process and the run in it. */
export const outliving =
  (handler: HttpHandler): HttpHandler =>
  (request, response) => {
    try {
      handler(request, response);
    } catch (error) {
      if (response.headersSent) response.destroy();
      else answer(response, 500, message('bridge-failed', { message: (error as Error).message }).text);
    }
  };

/** The page's files; every address of the page that is no file is the page itself. */
export function pageFiles(folder: string): HttpHandler {
  const files = sirv(folder, {
    single: true,
    gzip: true,
    etag: true,
    setHeaders: (response) => {
      for (const [name, value] of Object.entries(HEADERS)) response.setHeader(name, value);
    },
  });
  return (request, response) => {
    if (request.method === 'GET' || request.method === 'HEAD') {
      files(request, response, () => answer(response, 404, 'Not here.'));
    } else answer(response, 405, 'Only reading is possible here.');
  };
}

/** Lets only requests through that name this very server: a foreign name that resolves here is refused. */
export const guardHost =
  (rules: () => AccessRules, next: HttpHandler): HttpHandler =>
  (request, response) => {
    if (hostAllowed(rules(), request)) next(request, response);
    else answer(response, 421, 'This server does not go by that name.');
  };
