import { useState } from 'preact/hooks';

/** A choice of this browser, kept where it allows that. */
export function usePreference<Choice extends string>(
  name: string,
  fallback: Choice,
  choices: readonly Choice[],
): [Choice, (choice: Choice) => void] {
  const [choice, setChoice] = useState<Choice>(() => {
    const kept = read(name);
    return choices.find((one) => one === kept) ?? fallback;
  });
  const keep = (next: Choice) => {
    setChoice(next);
    write(name, next);
  };
  return [choice, keep];
}

/** Some texts that are kept under a name; none where nothing sound is. */
export function keptTexts(name: string): Record<string, string> {
  try {
    const kept: unknown = JSON.parse(read(name) ?? '{}');
    const entries = typeof kept === 'object' && kept !== null ? Object.entries(kept) : [];
    return Object.fromEntries(entries.filter(([, text]) => typeof text === 'string'));
  } catch {
    return {};
  }
}

export const keepTexts = (name: string, texts: Record<string, string>): void =>
  write(name, JSON.stringify(texts));

function read(name: string): string | null {
  try {
    return localStorage.getItem(`tenwire.${name}`);
  } catch {
    return null;
  }
}

function write(name: string, value: string): void {
  try {
    localStorage.setItem(`tenwire.${name}`, value);
  } catch {
    // A browser that keeps nothing still shows the choice until it is closed.
  }
}
