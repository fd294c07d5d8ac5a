/** Numbers that only the page shows; the others are rounded by `bridge/calc-core/rounding.ts`. */

/** Thousands set off by a thin space, as ISO 80000-1 has it. */
export const grouped = (value: number): string => String(value).replace(/\B(?=(\d{3})+$)/g, '\u2009');

/** Minutes and seconds. */
export const clock = (seconds: number): string => {
  const whole = Math.max(0, Math.floor(seconds));
  return `${Math.floor(whole / 60)}:${String(whole % 60).padStart(2, '0')}`;
};
