import type { ComponentChildren } from 'preact';
import { useState } from 'preact/hooks';
import { typedNumber } from '../run/typed-length.tsx';
import { at, type DraftTools } from './draft.ts';

interface FieldProps {
  tools: DraftTools;
  path: string;
  label: string;
}

/** A number of the draft, typed with a point or a comma; empty takes it out. */
export function NumberField({ tools, path, label, unit }: FieldProps & { unit?: string }) {
  const value = at(tools.draft, path);
  const [typed, setTyped] = useState<string | null>(null);
  const shown = typed ?? (typeof value === 'number' ? String(value) : '');
  const wrong = typed !== null && typed.trim() !== '' && typedNumber(typed) === null;
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
          const number = typedNumber(text);
          if (text.trim() === '') tools.set(path, undefined);
          else if (number !== null) tools.set(path, number);
        }}
        onBlur={() => !wrong && setTyped(null)}
      />
    </label>
  );
}

export function TextField({ tools, path, label }: FieldProps) {
  const value = at(tools.draft, path);
  return (
    <label class="field">
      <span>{label}</span>
      <input
        data-path={path}
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
      <div class="fields">{children}</div>
    </section>
  );
}
