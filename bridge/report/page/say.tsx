import type { ComponentChildren } from 'preact';
import { Fragment } from 'preact';
import { Sym } from './figures.tsx';

/** Texts with places to be filled, named in braces. */

const PLACE = /\{(\w+)\}/g;

/** A text with its places filled; a place that nothing is given for stays as it is. */
export const fill = (text: string, given: Readonly<Record<string, string | number>>): string =>
  text.replace(PLACE, (place, name: string) => String(given[name] ?? place));

/** A text for print: a place holds what is given under its name, and a symbol where nothing is. */
export function Say({
  text,
  given = {},
}: {
  text: string;
  given?: Readonly<Record<string, ComponentChildren>>;
}) {
  // Every second part is the name of a place.
  const parts = text.split(PLACE);
  return (
    <>
      {parts.map((part, index) => (
        <Fragment key={index}>
          {index % 2 === 0 ? part : Object.hasOwn(given, part) ? given[part] : <Sym name={part} />}
        </Fragment>
      ))}
    </>
  );
}
