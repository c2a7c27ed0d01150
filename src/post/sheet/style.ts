import type { Html } from './html.js';

/** Look of the sheet: black on white, two A4 pages in two columns on paper, one column on a phone. */
export function sheetStyle(printPt: number, footer: string): string {
  return `
*{box-sizing:border-box}
html{-webkit-text-size-adjust:100%}
body{margin:0 auto;max-width:46rem;padding:1rem;background:#fff;color:#000;font:16px/1.4 Arial,Helvetica,"Liberation Sans",sans-serif;overflow-wrap:anywhere}
header{display:flex;flex-wrap:wrap;gap:.3em 1.5em;justify-content:space-between;align-items:flex-end;border-bottom:2px solid #000;padding-bottom:.4em}
h1{font-size:1.5em;line-height:1.15;margin:0}
header p{margin:.2em 0 0}
.copy{border:1.5px solid #000;padding:.25em .6em;font-weight:bold}
h3{font-size:1em;margin:.4em 0 0;break-after:avoid}
h2{font-size:1.05em;line-height:1.2;margin:0 0 .25em;border-bottom:1px solid #000;break-after:avoid}
section{margin:0 0 .9em}
p{margin:.25em 0}
ul,ol{margin:.2em 0;padding-left:1.35em}
ol:has(li:nth-child(10)){padding-left:2em}
li{margin:.12em 0}
small{font-size:.9em}
code{font-family:"Courier New","Liberation Mono",monospace;font-weight:bold;font-size:.95em}
table{border-collapse:collapse;width:100%}
th,td{text-align:left;vertical-align:top;padding:.1em .5em .1em 0;border-bottom:1px solid #bbb}
th{font-weight:bold;white-space:nowrap}
.ticks{list-style:none;padding-left:1.5em}
.ticks li::before{content:"";float:left;width:.8em;height:.8em;margin:.2em 0 0 -1.35em;border:1px solid #000}
.fill{display:flex;align-items:flex-end;gap:.8em;height:1.9em}
.fill span{flex:1;border-bottom:1px solid #000}
.meters td,.meters th{vertical-align:middle;white-space:nowrap}.meters td:nth-child(3){width:45%}
.meters td:last-child{padding-right:0}
@media screen and (max-width:30rem){.meters th{white-space:normal;overflow-wrap:normal}}
.notice{border:2.5px solid #000;padding:.35em .6em;margin:.6em 0}
.notice p{margin:0}
figure{margin:.5em 0}
figcaption{font-size:.95em}
.scroll{overflow-x:auto}
svg.drawing{display:block;width:100%;height:auto}
.wide svg.drawing{min-width:30rem}
svg.meter{display:block;width:100%;min-width:2em;height:auto}
svg[class] text{font:3px Arial,Helvetica,"Liberation Sans",sans-serif;fill:#000;stroke:none}
svg[class] path,svg[class] circle,svg[class] rect{fill:none;stroke:#000}
.thick{stroke-width:.5}.thin{stroke-width:.18}.hair{stroke-width:.22}
.hidden{stroke-width:.22;stroke-dasharray:1.6 .9}
.axis{stroke-width:.2;stroke-dasharray:5 1 1 1}
.bold-dash{stroke-width:.7;stroke-dasharray:3 1.6}
svg[class] .ink{fill:#000;stroke:none}
svg[class] .plain,svg[class] .balloon{fill:#fff}
svg[class] .balloon{stroke-width:.25}
svg[class] .teeth{fill:#e4e4e4}
svg[class] .part{fill:url(#section-part)}
.blank svg[class] .part{fill:url(#blank-part)}
.blank{max-width:26rem;break-inside:avoid}
svg[class] .hold{fill:url(#section-hold)}
svg[class] .table{fill:#d4d4d4}
svg[class] .frame{stroke-width:.2}
svg[class] .limit{stroke-width:.7}
@page{size:A4;margin:11mm 12mm 13mm;@bottom-left{content:"${footer}";font:8pt Arial,Helvetica,"Liberation Sans",sans-serif}@bottom-right{content:"page " counter(page) " of " counter(pages);font:8pt Arial,Helvetica,"Liberation Sans",sans-serif}}
@media print{
body{max-width:none;padding:0;font-size:${printPt}pt;line-height:1.25;-webkit-print-color-adjust:exact;print-color-adjust:exact}
header{flex-wrap:nowrap}
.copy{flex:none}
h1{font-size:1.6em}
.drawings{display:flex;gap:4mm;align-items:flex-start}
.drawings figure{margin:0}
.drawings .wide{flex:1 1 auto}
.drawings .narrow{flex:0 0 64mm}
.wide svg.drawing{min-width:0}
.scroll{overflow:visible}
.flow{columns:2;column-gap:6mm;column-fill:auto;margin-top:2mm}
section{margin:0 0 .75em}
/* Its lettering is then as large as the smallest print. */
.blank{max-width:74mm}
li,p,table,.whole,.fill{break-inside:avoid}
li:first-child,p:has(+ul){break-after:avoid}
li:last-child,p:last-child{break-before:avoid}
}
`;
}

/**
 * Characters of text times the square of the print size in points that two pages hold beside the
 * drawings. Measured with headless Chromium and DejaVu Sans, the widest of the usual fonts: sheets
 * of 8,200 to 12,400 characters took 630,000 to 690,000. What is used leaves a twentieth in size;
 * with Arial, a tenth narrower, there is more.
 */
const ROOM = 600_000;
/** What the drawing of the blank in the flow takes of it: 60 mm of a column of 90 mm, of 900 mm. */
const DRAWING_ROOM = 40_000;
const LARGEST_PT = 8.8;
/** Smallest print that is still read at a bench. pt */
export const SMALLEST_PT = 6.4;
/** The heading is set larger and bold: a character of it takes the room of so many. */
const TITLE_WEIGHT = 5;
/** Titles up to this long fit on one line. */
const TITLE_FREE = 40;

/** @returns points, at most LARGEST_PT; below SMALLEST_PT the text has to be cut */
export function printSizePt(title: string, flow: readonly (Html | null)[]): number {
  let characters = TITLE_WEIGHT * Math.max(0, Array.from(title).length - TITLE_FREE);
  for (const part of flow) characters += part ? textLength(part) : 0;
  return Math.min(LARGEST_PT, Math.floor(20 * Math.sqrt((ROOM - DRAWING_ROOM) / characters)) / 20);
}

/** Characters that are seen: without tags and drawings, an entity counted as one. */
function textLength({ html }: Html): number {
  const text = html
    .replace(/<svg[\s\S]*?<\/svg>/g, '')
    .replace(/<[^>]*>/g, '')
    .replace(/&[a-z#0-9]+;/g, '.')
    .replace(/\s+/g, ' ');
  return Array.from(text).length;
}
