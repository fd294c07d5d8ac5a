import type { VNode } from 'preact';
import { renderToString } from 'preact-render-to-string';
import type { Language } from '../../messages/language.ts';
import { LanguageContext, RECORD_TEXTS } from './language.tsx';
import { fill } from './say.tsx';
import { STYLE } from './style.ts';

/** Stands in every page of ours, so that none but such a page is ever written over. */
export const PAGE_MARK = '<meta name="generator" content="tenwire report">';

/** Such as page 2 of 7, as CSS content. */
const pageNumber = (language: Language): string =>
  fill(JSON.stringify(RECORD_TEXTS[language].pageOf), {
    page: '" counter(page) "',
    pages: '" counter(pages) "',
  });

/** One self-contained HTML page, for print (A4 or Letter) and screen: no script, no picture or style from elsewhere. */
export const htmlPage = (
  language: Language,
  title: string,
  body: VNode,
  meta = '',
): string => `<!doctype html>
<html lang="${language}">
<head>
<meta charset="utf-8">
${PAGE_MARK}
${meta}<meta name="viewport" content="width=device-width, initial-scale=1">
${renderToString(<title>{title}</title>)}
<style>${STYLE}@page { @bottom-right { content: ${pageNumber(language)} } }</style>
</head>
<body>${renderToString(<LanguageContext.Provider value={language}>{body}</LanguageContext.Provider>)}</body>
</html>
`;
