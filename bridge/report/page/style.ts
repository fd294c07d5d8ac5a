/** One sheet for screen and print. Lines and dots are told apart by shape as well as by colour. */
export const STYLE = `
:root { color-scheme: light; --ink: #1b1b1b; --soft: #555; --rule: #b5b5b5; --blue: #0b5a8f; --rust: #a8430a; }
* { box-sizing: border-box; }
body { margin: 0; background: #fff; color: var(--ink); font: 10.5pt/1.4 "Noto Serif", "Liberation Serif", Georgia, serif; }
main, article { max-width: 186mm; margin: 0 auto; padding: 8mm; }
article { break-before: page; }
h1 { font-size: 17pt; line-height: 1.2; margin: 0 0 3mm; }
h2 { font-size: 12.5pt; margin: 6mm 0 1.5mm; border-bottom: 0.6pt solid var(--rule); }
h3 { font-size: 10.5pt; margin: 3mm 0 1mm; }
h1, h2, h3, caption, figcaption { break-after: avoid; }
p { margin: 1.5mm 0; orphans: 3; widows: 3; }
ul { margin: 1.5mm 0; padding-left: 5mm; }
li { break-inside: avoid; }
.small, caption, figcaption { font-size: 9pt; color: var(--soft); }
.keep { white-space: nowrap; }
code { overflow-wrap: anywhere; }
sub, sup { font-size: 72%; line-height: 0; }
header dl { display: grid; grid-template-columns: repeat(3, 1fr); gap: 1.5mm 6mm; margin: 0; }
header dt { font-size: 8.5pt; color: var(--soft); }
header dd { margin: 0; }
table { border-collapse: collapse; width: 100%; margin: 2mm 0 3mm; font-size: 8.8pt; line-height: 1.3; }
table.narrow { width: auto; }
caption { text-align: left; padding-bottom: 1mm; break-inside: avoid; }
td { white-space: nowrap; }
td.words { white-space: normal; }
th, td { padding: 0.7mm 1.1mm; text-align: right; vertical-align: top; font-variant-numeric: tabular-nums; }
th { font-weight: 600; vertical-align: bottom; border-bottom: 0.6pt solid var(--ink); }
thead { display: table-header-group; break-after: avoid; }
tr { break-inside: avoid; }
p:has(+ .pair), p:has(+ .panels) { break-after: avoid; break-inside: avoid; }
table.short { break-inside: avoid; }
tbody tr:nth-child(-n+3):not(:last-child) { break-after: avoid; }
tbody tr:nth-last-child(-n+3):not(:first-child) { break-before: avoid; }
td { border-bottom: 0.3pt solid #ddd; }
tfoot { display: table-row-group; }
tfoot td { border-top: 0.6pt solid var(--ink); font-weight: 600; }
.words { text-align: left; }
.statement { font-size: 14pt; font-weight: 600; margin: 2mm 0; }
.statement small { font-size: 9.5pt; font-weight: 400; color: var(--soft); }
.caveat { border-left: 2pt solid var(--rust); padding-left: 3mm; }
.findings { list-style: none; padding-left: 0; }
.formula { margin: 1.5mm 0; overflow-x: auto; }
.formula.whole { display: flex; align-items: center; justify-content: center; gap: 2mm; }
td .formula { margin: 0; padding: 0.5mm 0; overflow: visible; }
math { font-size: 10.5pt; margin: 0; }
td math { font-size: 9.5pt; }
math mfrac > * { math-depth: 0; math-style: normal; }
.answer { margin-left: 5mm; }
.circuit { width: 100%; max-width: 165mm; display: block; margin: 0 auto; break-inside: avoid; }
.panels { display: grid; grid-template-columns: repeat(auto-fill, minmax(52mm, 1fr)); gap: 2mm; }
figure { margin: 0; break-inside: avoid; }
.pair { display: grid; grid-template-columns: 1fr 1fr; gap: 3mm; break-inside: avoid; }
svg { font: 11px "Noto Sans", "Liberation Sans", Arial, sans-serif; fill: var(--ink); }
.plot { width: 100%; display: block; }
.plot text { font-size: 10px; }
.circuit text { font-size: 12px; }
.circuit .strong { font-weight: 700; }
.grid { stroke: #e2e2e2; stroke-width: 0.6; }
.axis { stroke: var(--ink); stroke-width: 0.9; }
.zero { stroke: var(--ink); stroke-width: 0.6; }
.null { stroke: var(--rust); stroke-width: 1.2; stroke-dasharray: 5 2; }
.dots { stroke: var(--blue); stroke-width: 2.4; stroke-linecap: round; fill: none; opacity: 0.7; }
.dots.few { stroke-width: 5; }
.fitted { stroke: var(--ink); stroke-width: 0.8; fill: none; }
.bar { stroke: var(--blue); stroke-width: 1.2; }
.point { fill: #fff; stroke: var(--blue); stroke-width: 1.4; }
.lead, .symbol, .plate, .arrow { stroke: var(--ink); stroke-width: 1.3; fill: none; }
.symbol { fill: #fff; }
.plate.thick { stroke-width: 4; }
.resistance-wire { stroke: var(--blue); stroke-width: 2; fill: none; stroke-linejoin: round; }
.blank { fill: #fff; }
footer { margin-top: 6mm; break-inside: avoid; display: grid; grid-template-columns: repeat(3, 1fr); gap: 6mm; font-size: 9pt; }
footer p { border-bottom: 0.6pt solid var(--ink); padding-bottom: 9mm; margin: 0; }
footer .small { grid-column: 1 / -1; border: 0; padding: 0; }
/* room for a hand */
.blanks p { border-bottom: 0.6pt solid var(--rule); padding-bottom: 11mm; }
.brief { font-size: 8.8pt; line-height: 1.3; }
.brief h1 { font-size: 14pt; margin-bottom: 2mm; }
.brief h2 { font-size: 10.5pt; margin: 2.4mm 0 0.8mm; }
.brief h3 { font-size: 9pt; margin: 1.5mm 0 0.5mm; }
.brief p, .brief ul { margin: 0.8mm 0; }
.brief header dl { grid-template-columns: repeat(6, auto); gap: 1mm 4mm; }
.brief .statement { font-size: 13pt; }
.brief table { font-size: 8pt; margin: 1mm 0 1.5mm; }
.brief th, .brief td { padding: 0.4mm 1mm; }
.brief .small, .brief caption { font-size: 8pt; }
.brief .beside { display: grid; grid-template-columns: 1fr 90mm; gap: 6mm; }
.brief ul:not(.findings) { columns: 2; column-gap: 6mm; }
.brief .pair { max-width: 106mm; margin: 0 auto; }
.brief footer { margin-top: 2mm; gap: 2mm 4mm; font-size: 8pt; }
.brief footer p { padding-bottom: 6mm; }
.brief footer .small { padding: 0; }
@media screen and (max-width: 700px) {
  main, article { padding: 4mm; }
  header dl, .brief header dl { grid-template-columns: 1fr; }
  .pair, .brief .beside, footer { grid-template-columns: 1fr; }
  table { display: block; overflow-x: auto; }
}
@page {
  margin: 15mm 14mm 16mm;
  @bottom-right { font: 8pt sans-serif; color: #555; }
}
@media print {
  body { font-size: 10pt; }
  main, article { max-width: none; padding: 0; }
  .formula { overflow: visible; }
}
`;
