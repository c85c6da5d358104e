import { type Html, html } from '../../platform/http/html.ts';

/**
 * How the sheet prints: on whatever paper there is, in black on white; what matters is said in words and signs. Text grows
 * where there are few athletes, so that a page is used.
 */
export const STYLE: Html = html`
@page {
  margin: 8mm 10mm 10mm;
  @bottom-left { content: "Personal data: keep it at the desk, destroy it after use."; font: 7pt system-ui, sans-serif; }
  @bottom-right { content: counter(page) " / " counter(pages); font: 7pt system-ui, sans-serif; }
}
* { box-sizing: border-box; }
html { color: #000; background: #fff; }
body { margin: 0 auto; padding: 4mm; max-width: 200mm; font: 8.5pt/1.25 Arial, 'Liberation Sans', 'Noto Sans', system-ui, sans-serif; overflow-wrap: anywhere; }
section + section { break-before: page; margin-top: 10mm; }
header { display: flex; gap: 6mm; justify-content: space-between; align-items: flex-end; border-bottom: 1.5pt solid; padding-bottom: 1mm; margin-bottom: 1.5mm; }
header > * { min-width: 0; margin: 0; }
header > :first-child { flex: 1; }
h1, h2 { font-size: 15pt; line-height: 1.15; margin: 0; }
h3 { font-size: 9.5pt; margin: 2.5mm 0 0.75mm; break-after: avoid; }
p { margin: 0.75mm 0; }
.when { font-size: 10pt; font-weight: 600; }
.meta { text-align: right; font-size: 7.5pt; line-height: 1.3; max-width: 45%; }
.time { white-space: nowrap; font-variant-numeric: tabular-nums; }
.loud { border: 1.5pt solid; padding: 1mm 2mm; font-weight: 700; }
.caution { font-size: 7pt; margin-top: 1.5mm; }
table { width: 100%; border-collapse: collapse; table-layout: fixed; }
th, td { border: 0.5pt solid; padding: 0.35mm 1mm; text-align: left; vertical-align: top; font-weight: 400; }
thead th { font-size: 7pt; font-weight: 700; border-bottom-width: 1.25pt; vertical-align: bottom; }
tr { break-inside: avoid; }
.num { text-align: right; font-variant-numeric: tabular-nums; }
.mid { text-align: center; font-variant-numeric: tabular-nums; }
.roll { font-size: 9pt; margin-top: 2.5mm; }
.roll tbody tr { height: 7.4mm; }
.roll tbody :is(td, th) { vertical-align: middle; }
.roll .num { padding-inline: 0.3mm; white-space: nowrap; }
.few .roll { font-size: 10pt; }
.few .roll tbody tr { height: 9.5mm; }
.many .roll, .many .blocks { font-size: 7pt; line-height: 1.1; margin-top: 1.5mm; }
.many .roll tbody tr { height: 5mm; }
.many .roll, .many .blocks { letter-spacing: -0.03em; line-height: 1.05; }
.many .roll td, .many .roll th { padding-block: 0.2mm; }
.tag { border: 0.5pt solid; padding: 0 0.7mm; font-size: 0.85em; font-weight: 700; white-space: nowrap; }
.kept { border-left: 2pt solid; padding-left: 1mm; font-weight: 700; }
.line { display: block; }
.small { font-size: 7pt; }
.alert { display: inline-block; min-width: 1.3em; border: 1pt solid; text-align: center; font-weight: 700; line-height: 1; }
.loud .line { font-weight: 400; }
.box { display: inline-block; width: 3.2mm; height: 3.2mm; border: 0.75pt solid; vertical-align: -0.4mm; }
.heads { display: grid; grid-template-columns: repeat(3, 1fr); gap: 2mm; margin-top: 2mm; break-inside: avoid; }
.heads div { border: 1pt solid; padding: 1mm 1.5mm; display: flex; gap: 1.5mm; align-items: flex-end; height: 8mm; font-size: 8pt; }
.heads i { flex: 1; border-bottom: 0.5pt dotted; }
.here { columns: 3; column-gap: 4mm; margin: 0; padding: 0; list-style: none; }
.here li { display: grid; grid-template-columns: 5mm minmax(0, 1fr); align-items: start; break-inside: avoid; padding: 0.4mm 0; border-bottom: 0.25pt solid; }
@media print {
  body { padding: 0 0.3mm; max-width: none; }
  section + section { margin-top: 0; }
}
@media screen and (max-width: 180mm) {
  .scrolls { overflow-x: auto; }
  .scrolls table { min-width: 170mm; }
  .here { columns: 1; }
  header { display: block; }
  .meta { text-align: left; max-width: none; }
  .heads { grid-template-columns: 1fr; }
}
`;
