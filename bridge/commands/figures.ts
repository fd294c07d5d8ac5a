export const orDash = (value: number | null, decimals: number): string =>
  value === null ? '–' : value.toFixed(decimals);

/** Rows as text in columns: the first row is the head. Figures are set to the right. */
export function table(rows: string[][]): string[] {
  const widths = rows[0].map((_, column) => Math.max(...rows.map((row) => row[column].length)));
  return rows.map((row) => row.map((cell, column) => cell.padStart(widths[column])).join('  '));
}
