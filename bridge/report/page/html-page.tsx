import type { VNode } from 'preact';
import { renderToString } from 'preact-render-to-string';
import { STYLE } from './style.ts';

/** Stands in every page of ours, so that none but such a page is ever written over. */
export const PAGE_MARK = '<meta name="generator" content="tenwire report">';

/** One self-contained HTML page, for print (A4 or Letter) and screen: no script, no picture or style from elsewhere. */
export const htmlPage = (title: string, body: VNode, meta = ''): string => `<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
${PAGE_MARK}
${meta}<meta name="viewport" content="width=device-width, initial-scale=1">
${renderToString(<title>{title}</title>)}
<style>${STYLE}</style>
</head>
<body>${renderToString(body)}</body>
</html>
`;
