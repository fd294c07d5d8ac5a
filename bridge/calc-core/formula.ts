/** Measurement models as text: evaluated, differentiated and rendered by a mathematics library. */

export type Scope = Readonly<Record<string, number>>;

export interface Formula {
  text: string;
  value(scope: Scope): number;
  /** Partial derivative with respect to `symbol` at `scope`: the sensitivity coefficient of GUM 5.1.3. */
  partial(symbol: string, scope: Scope): number;
  /** For the page and the printed report: MathML. */
  mathMl(): string;
}

export interface Formulas {
  /** Throws the library's SyntaxError for a text that is no formula. */
  compile(text: string): Formula;
}
