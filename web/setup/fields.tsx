import { type ComponentChildren, createContext } from 'preact';
import { useContext, useState } from 'preact/hooks';
import { typedNumber } from '../run/typed-length.tsx';
import { at } from './draft.ts';
import type { DraftTools } from './draft-tools.ts';

interface FieldProps {
  tools: DraftTools;
  path: string;
  label: string;
}

/** Title of the group that a field stands in: a fault names both. */
export const GroupTitle = createContext('');

/** Tells the draft under which name people see a field. */
function useFieldName({ tools, path, label }: FieldProps): void {
  const group = useContext(GroupTitle);
  tools.fieldNames.set(path, group === '' ? label : `${group}, ${label}`);
}

/** So many digits of a converted value are what was typed; beyond them is the conversion's rounding. */
const CONVERTED_DIGITS = 12;

const converted = (value: number, factor: number): number =>
  factor === 1 ? value : Number((value * factor).toPrecision(CONVERTED_DIGITS));

/**
 * A number of the draft, typed with a point or a comma; empty takes it out. What is no number stays in the draft as it was typed,
 * so that the bridge refuses to save it instead of what stood there before.
 * @param factor what is shown over what the file holds, where people think in another unit than the file
 */
export function NumberField({ unit, factor = 1, ...field }: FieldProps & { unit?: string; factor?: number }) {
  const { tools, path, label } = field;
  useFieldName(field);
  const value = at(tools.draft, path);
  const [typed, setTyped] = useState<string | null>(null);
  const shown = typed ?? shownOf(value, factor);
  const wrong = typeof value === 'string' || tools.faulty.has(path);
  return (
    <label class="field">
      <span>
        {label}
        {unit === undefined ? '' : ` / ${unit}`}
      </span>
      <input
        inputMode="decimal"
        data-path={path}
        aria-invalid={wrong}
        value={shown}
        onInput={(event) => {
          const text = event.currentTarget.value;
          setTyped(text);
          tools.set(path, typedValue(text, factor));
        }}
        onBlur={() => setTyped(null)}
      />
    </label>
  );
}

const shownOf = (value: unknown, factor: number): string =>
  typeof value === 'number' ? String(converted(value, factor)) : typeof value === 'string' ? value : '';

function typedValue(text: string, factor: number): unknown {
  if (text.trim() === '') return undefined;
  const number = typedNumber(text);
  return number === null ? text : converted(number, 1 / factor);
}

export function TextField(field: FieldProps) {
  const { tools, path, label } = field;
  useFieldName(field);
  const value = at(tools.draft, path);
  return (
    <label class="field">
      <span>{label}</span>
      <input
        data-path={path}
        aria-invalid={tools.faulty.has(path)}
        value={typeof value === 'string' ? value : ''}
        maxLength={100}
        onInput={(event) => tools.set(path, event.currentTarget.value)}
      />
    </label>
  );
}

export function Group({
  title,
  note,
  children,
}: {
  title: string;
  note?: string;
  children: ComponentChildren;
}) {
  return (
    <section class="panel setup-group">
      <h2>{title}</h2>
      {note !== undefined && <p class="quiet">{note}</p>}
      <div class="fields">
        <GroupTitle.Provider value={title}>{children}</GroupTitle.Provider>
      </div>
    </section>
  );
}
