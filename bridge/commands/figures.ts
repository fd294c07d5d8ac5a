/** Decimals that show `u` to two significant digits (GUM 7.2.6). */
export function decimalsFor(u: number): number {
  if (!(u > 0) || !Number.isFinite(u)) return 4;
  return Math.min(12, Math.max(0, 1 - Math.floor(Math.log10(Number(u.toPrecision(2))))));
}

/** Value and uncertainty to the same decimals, such as `743.21 ± 0.03`. */
export function withUncertainty(value: number, u: number): string {
  const decimals = decimalsFor(u);
  return `${value.toFixed(decimals)} ± ${u.toFixed(decimals)}`;
}

export const orDash = (value: number | null, decimals: number): string =>
  value === null ? '–' : value.toFixed(decimals);

/** Rows as text in columns: the first row is the head. Figures are set to the right. */
export function table(rows: string[][]): string[] {
  const widths = rows[0].map((_, column) => Math.max(...rows.map((row) => row[column].length)));
  return rows.map((row) => row.map((cell, column) => cell.padStart(widths[column])).join('  '));
}
