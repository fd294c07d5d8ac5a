import type { ComponentChild, JSX } from 'preact';
import { useMemo } from 'preact/hooks';

/**
 * What is drawn of `of`, drawn again only when that has become another value: parts of a view that did not change
 * keep their identity, and most of a page does not change from one look to the next.
 */
export function Same<Of>({ of, draw }: { of: Of; draw: (of: Of) => ComponentChild }): JSX.Element {
  return useMemo(() => <>{draw(of)}</>, [of]);
}
