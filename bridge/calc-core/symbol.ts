const GREEK: Readonly<Record<string, string>> = { alpha: 'α', d: 'δ' };

/** How print sets a symbol: `l_1_2` is l with the subscript 1,2; `l0_3` is l with 0,3; `d_zero` is δ with zero. */
export function symbolParts(name: string): { letter: string; subscripts: string } {
  const [head, ...rest] = name.split('_');
  const letter = head.replace(/\d+$/, '');
  return {
    letter: GREEK[letter] ?? letter,
    subscripts: [head.slice(letter.length), ...rest].filter((part) => part !== '').join(','),
  };
}
