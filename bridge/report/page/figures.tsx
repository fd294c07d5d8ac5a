import type { ComponentChildren } from 'preact';
import { symbolParts } from '../../calc-core/mathml.ts';
import { roundTogether } from '../../calc-core/rounding.ts';

/** Figures and symbols as they are printed. */

export const DASH = '–';

const withMinus = (text: string): string => text.replace('-', '−');

export const fixed = (value: number | null | undefined, decimals: number): string =>
  value === null || value === undefined ? DASH : withMinus(value.toFixed(decimals));

/** With so many significant digits, without an exponent where that stays readable. */
export function Significant({ value, digits = 3 }: { value: number; digits?: number }) {
  const size = Math.abs(value);
  if (size === 0) return <>0</>;
  if (size >= 1e-3 && size < 1e5) {
    const decimals = Math.max(0, digits - 1 - Math.floor(Math.log10(size)));
    return <>{fixed(value, decimals)}</>;
  }
  const [digitsPart, exponent] = value.toExponential(digits - 1).split('e');
  return (
    <>
      {withMinus(digitsPart)}&#8239;·&#8239;10<sup>{withMinus(exponent.replace('+', ''))}</sup>
    </>
  );
}

const MOST_DECIMALS = 4;

/** Decimals that a column of values needs, so that two digits of the smallest uncertainty stand. */
export function decimalsFor(uncertainties: readonly (number | null)[]): number {
  const known = uncertainties.filter((u): u is number => u !== null && u > 0);
  if (known.length === 0) return 2;
  return Math.min(MOST_DECIMALS, Math.max(...known.map((u) => roundTogether(0, u).decimals)));
}

/** Value and expanded uncertainty side by side, rounded together (GUM 7.2.6). */
export function PlusMinus({ value, uncertainty }: { value: number; uncertainty: number }) {
  const rounded = roundTogether(value, uncertainty);
  return (
    <span class="keep">
      {withMinus(rounded.value)} ± {rounded.uncertainty}
    </span>
  );
}

const GREEK: Readonly<Record<string, string>> = { alpha: 'α', d: 'δ' };

/** `l_1_2` as l with the subscript 1,2. */
export function Sym({ name }: { name: string }) {
  const { letter, subscripts } = symbolParts(name);
  return (
    <span class="keep">
      <i>{GREEK[letter] ?? letter}</i>
      {subscripts === '' ? null : <sub>{subscripts}</sub>}
    </span>
  );
}

export const unitText = (unit: string): string => ({ '1': '', ohm: 'Ω', uV: 'µV' })[unit] ?? unit;

/** 4700 Ω, 100 kΩ: no row of zeros. */
export const ohmText = (ohm: number): string => (ohm >= 10_000 ? `${ohm / 1000} kΩ` : `${ohm} Ω`);

export const dofText = (dof: number | null): string => {
  if (dof === null) return '∞';
  return dof > 1000 ? 'over 1000' : dof.toFixed(1);
};

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
