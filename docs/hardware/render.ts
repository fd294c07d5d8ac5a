import { NUMBERS } from './numbers.ts';
import { partsTable } from './parts-table.ts';

/** The guide: `{{name}}` in the template becomes the number of that name, `{{partsTable}}` the table of parts. */
export function renderGuide(template: string): string {
  return template.replace('{{partsTable}}', partsTable()).replace(/\{\{(\w+)\}\}/g, (_, name: string) => {
    const value = NUMBERS[name];
    if (value === undefined)
      throw new Error(`guide.template.md asks for ${name}, which numbers.ts does not have`);
    return value;
  });
}
