import { useState } from 'preact/hooks';

/**
 * A value that comes from the bridge but is being changed here: while it is held, what was typed or dragged stands,
 * whatever arrives meanwhile.
 */
export function useHeld<Value>(outside: Value): {
  shown: Value;
  hold: (value: Value) => void;
  release: () => void;
} {
  const [held, setHeld] = useState<{ value: Value } | null>(null);
  return {
    shown: held === null ? outside : held.value,
    hold: (value) => setHeld({ value }),
    release: () => setHeld(null),
  };
}
