import { readRun } from '../report/read-run.ts';
import type { ExportKind } from '../serve/messages.ts';
import type { MakeFold } from '../session/make-fold.ts';

export type Exported = { ok: true; text: string; type: string; name: string } | { ok: false; text: string };

/** The record of a run as the command line gives it, for the page: a page for printing, JSON, or tables. */
export async function exportRun(path: string, kind: ExportKind, makeFold: MakeFold): Promise<Exported> {
  const reading = await readRun(path, makeFold);
  if (!reading.ok) return reading;
  const { run } = reading;
  switch (kind) {
    case 'page': {
      const { recordPage } = await import('../report/page/record-page.tsx');
      return { ok: true, text: recordPage(run), type: 'text/html', name: 'record.html' };
    }
    case 'json': {
      const { reportJson } = await import('../report/report-json.ts');
      return {
        ok: true,
        text: JSON.stringify(reportJson(run.view, run.check), null, 2),
        type: 'application/json',
        name: 'report.json',
      };
    }
    default: {
      const { nullsTable, setsTable } = await import('../report/observations-csv.ts');
      const table = kind === 'sets' ? setsTable(run.view) : nullsTable(run.view);
      return { ok: true, text: table.csv, type: 'text/csv', name: `${kind}.csv` };
    }
  }
}
