import type { RefObject } from 'preact';
import { useLayoutEffect, useRef } from 'preact/hooks';

/** Puts the keyboard into a field that has just been opened, before another key can be pressed. */
export function useFocusOnMount<Field extends HTMLElement>(): RefObject<Field | null> {
  const field = useRef<Field>(null);
  useLayoutEffect(() => field.current?.focus(), []);
  return field;
}
