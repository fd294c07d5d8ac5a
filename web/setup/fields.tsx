import type { ComponentChildren } from 'preact';
import { useState } from 'preact/hooks';
import { typedNumber } from '../run/typed-length.tsx';
import { at } from './draft.ts';
import type { DraftTools } from './draft-tools.ts';

interface FieldProps {
  tools: DraftTools;
  path: string;
  label: string;
}

/**
 * A number of the draft, typed with a point or a comma; empty takes it out. What is no number stays in the draft as it was typed,
 * so that the bridge refuses to save it instead of what stood there before.
 */
export function NumberField({ tools, path, label, unit }: FieldProps & { unit?: string }) {
  const value = at(tools.draft, path);
  const [typed, setTyped] = useState<string | null>(null);
  const shown = typed ?? (typeof value === 'number' || typeof value === 'string' ? String(value) : '');
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
          tools.set(path, text.trim() === '' ? undefined : (typedNumber(text) ?? text));
        }}
        onBlur={() => setTyped(null)}
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
      <div class="fields">{children}</div>
    </section>
  );
}
