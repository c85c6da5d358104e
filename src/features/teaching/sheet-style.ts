import { type Html, html } from '../../platform/http/html.ts';
import { DRAWN_WIDTHS, SETTINGS } from './sheet-fit.ts';

const sizes = [...new Set(SETTINGS.map(({ points }) => points))]
  .map((points) => `.p${String(points).replace('.', '-')} { font-size: ${points}pt; }`)
  .join('\n');
const columns = [...new Set(SETTINGS.map((setting) => setting.columns))]
  .map((count) => `.c${count} .columns { columns: ${count}; }`)
  .join('\n');
const drawn = DRAWN_WIDTHS.map((width) => `.w${width} { width: ${width}mm; }`).join('\n');

/** How a sheet prints: on whatever paper there is, in black on white; what matters is said in words and signs. */
export const STYLE: Html = html`
@page { margin: 8mm 10mm; }
* { box-sizing: border-box; }
html { color: #000; background: #fff; }
body { margin: 0 auto; max-width: 190mm; font-family: Arial, "Liberation Sans", Helvetica, system-ui, sans-serif; }
main { line-height: 1.19; overflow-wrap: anywhere; }
header { display: flex; gap: 6mm; justify-content: space-between; align-items: flex-end; border-bottom: 1.5pt solid; padding-bottom: 0.8mm; margin-bottom: 1mm; }
header > * { min-width: 0; margin: 0; }
header > :first-child { flex: 1; }
h1 { font-size: 14pt; line-height: 1.1; margin: 0; }
h2 { font-size: 1.12em; line-height: 1.15; margin: 0; break-after: avoid; }
p { margin: 0; }
.when { font-size: 10pt; font-weight: 600; }
.about { text-align: right; font-size: 7.5pt; max-width: 32%; }
.line { display: block; }
${{ markup: sizes }}
${{ markup: columns }}
.drawn { float: right; margin: 0 0 0.8mm 2mm; max-width: 60%; }
.drawn svg { display: block; width: 100%; }
${{ markup: drawn }}
main + main { break-before: page; }
.columns { column-gap: 3.5mm; margin-top: 1mm; }
.part { border: 1pt solid; border-left-width: 3pt; padding: 0.3mm 1mm; margin-bottom: 1mm; break-inside: avoid; break-after: avoid; }
.part h2 { text-transform: uppercase; letter-spacing: 0.03em; }
.station { border-top: 0.5pt solid; padding: 0.2mm 0 0.4mm; margin-bottom: 0.6mm; }
.station::after { content: ""; display: block; clear: both; }
.part + .station { border-top: 0; }
.station p { padding-left: 0.8em; text-indent: -0.8em; }
.loud { font-weight: 700; }
main > .loud { border: 1.25pt solid; padding: 0.4mm 1.2mm; margin-bottom: 0.6mm; }
p { orphans: 2; widows: 2; }
.foot { font-size: 7pt; border-top: 0.5pt solid; margin-top: 1mm; padding-top: 0.5mm; }
@media screen { body { padding: 4mm; } main + main { margin-top: 8mm; } }
@media screen and (max-width: 150mm) { .columns { columns: 1 !important; } main { font-size: 10pt !important; } }
`;
