/** Times of things still to come, in order; `due` answers whether one of them has come, once for each. */
export function diary(times: readonly number[]) {
  const ahead = [...times].sort((a, b) => a - b);
  return (tS: number): boolean => {
    const due = ahead.length > 0 && ahead[0] <= tS;
    while (ahead.length > 0 && ahead[0] <= tS) ahead.shift();
    return due;
  };
}
