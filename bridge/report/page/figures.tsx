import type { ComponentChildren } from 'preact';
import { plusMinus } from '../../calc-core/rounding.ts';
import { symbolParts } from '../../calc-core/symbol.ts';

/** Symbols, sections and tables as they are printed. */

/** Value and uncertainty on one line, rounded together. */
export const PlusMinus = (props: { value: number; uncertainty: number; unit?: string }) => (
  <span class="keep">{plusMinus(props.value, props.uncertainty, props.unit)}</span>
);

/** `l_1_2` as l with the subscript 1,2. */
export function Sym({ name }: { name: string }) {
  const { letter, subscripts } = symbolParts(name);
  return (
    <span class="keep">
      <i>{letter}</i>
      {subscripts === '' ? null : <sub>{subscripts}</sub>}
    </span>
  );
}

/** 4700 Ω, 100 kΩ: no row of zeros. */
export const ohmText = (ohm: number): string => (ohm >= 10_000 ? `${ohm / 1000} kΩ` : `${ohm} Ω`);

/** A quantity as print names it. */
export function Quantity({ name }: { name: string }) {
  if (name === 'r') return <i>r</i>;
  const [first, second] = name.split('/').map((quantity) => <Sym name={`E_${quantity.slice(1)}`} />);
  return (
    <span class="keep">
      {first}
      {second === undefined ? null : <>/{second}</>}
    </span>
  );
}

export function Section({ title, children }: { title: string; children: ComponentChildren }) {
  return (
    <section>
      <h2>{title}</h2>
      {children}
    </section>
  );
}

/** A table of so few rows stays on one page. */
const SHORT_ROWS = 8;

export interface Column {
  head: ComponentChildren;
  /** Set to the left: words, not figures. */
  words?: boolean;
}

export function Table(props: {
  caption: string;
  columns: Column[];
  rows: ComponentChildren[][];
  foot?: ComponentChildren[];
}) {
  const { caption, columns, rows, foot } = props;
  const side = (index: number) => (columns[index].words === true ? 'words' : undefined);
  const cells = (row: ComponentChildren[]) => row.map((cell, index) => <td class={side(index)}>{cell}</td>);
  return (
    <table class={rows.length <= SHORT_ROWS ? 'short' : undefined}>
      <caption>{caption}</caption>
      <thead>
        <tr>
          {columns.map((column, index) => (
            <th scope="col" class={side(index)}>
              {column.head}
            </th>
          ))}
        </tr>
      </thead>
      <tbody>
        {rows.map((row) => (
          <tr>{cells(row)}</tr>
        ))}
      </tbody>
      {foot === undefined ? null : (
        <tfoot>
          <tr>{cells(foot)}</tr>
        </tfoot>
      )}
    </table>
  );
}
