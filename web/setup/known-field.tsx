import { useTexts } from '../texts/texts.ts';
import { at } from './draft.ts';
import type { DraftTools } from './draft-tools.ts';
import { GroupTitle, NumberField } from './fields.tsx';

interface Part {
  path: string;
  label: string;
  unit: string;
  factor?: number;
}

/**
 * What a bench file may say or leave open: known, with its numbers, or not known, which takes it out of the file. Says what it is,
 * how it is measured and what is ordinary.
 */
export function KnownField({
  tools,
  title,
  how,
  parts,
  note,
}: {
  tools: DraftTools;
  title: string;
  how: string;
  parts: readonly Part[];
  /** What the numbers come to; null where nothing can be said. */
  note: string | null;
}) {
  const texts = useTexts();
  const known = parts.some(({ path }) => at(tools.draft, path) !== undefined);
  // Nothing typed yet is no number: a bench that was said to be known, and is not, is not saved.
  const choose = (isKnown: boolean) => {
    for (const { path } of parts) tools.set(path, isKnown ? '' : undefined);
  };
  return (
    <fieldset class="known-field">
      <legend>{title}</legend>
      <p class="quiet">{how}</p>
      <div class="fields">
        <label class="field">
          <span>{texts.setup.isKnown}</span>
          <select
            data-known={parts[0].path}
            value={known ? 'yes' : 'no'}
            onChange={(event) => choose(event.currentTarget.value === 'yes')}
          >
            <option value="no">{texts.setup.notKnown}</option>
            <option value="yes">{texts.setup.measured}</option>
          </select>
        </label>
        <GroupTitle.Provider value={title}>
          {known && parts.map((part) => <NumberField key={part.path} tools={tools} {...part} />)}
        </GroupTitle.Provider>
        {known && note !== null && <p class="quiet known-note">{note}</p>}
      </div>
    </fieldset>
  );
}
