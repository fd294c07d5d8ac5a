import { NUMBERS } from './numbers.ts';

/** The guide: `{{name}}` in the template becomes the number of that name. */
export function renderGuide(template: string): string {
  return template.replace(/\{\{(\w+)\}\}/g, (_, name: string) => {
    const value = NUMBERS[name];
    if (value === undefined)
      throw new Error(`guide.template.md asks for ${name}, which numbers.ts does not have`);
    return value;
  });
}
