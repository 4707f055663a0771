/** One style sheet, served from its own address so that the content policy can forbid all else. */
export const STYLE = `
:root {
  color-scheme: light dark;
  --paper: #f6f4ee; --sheet: #fffdf8; --ink: #1d2430; --faint: #5c6573; --line: #d9d4c6;
  --kept: #2f6f8f; --kept-soft: #d5e5ec; --heed: #a35c00; --heed-soft: #fbeBd0;
  --peril: #8c1d5b; --peril-soft: #f9dfec;
  font: 16px/1.45 system-ui, -apple-system, "Segoe UI", "Noto Sans", sans-serif;
}
@media (prefers-color-scheme: dark) {
  :root {
    --paper: #12161d; --sheet: #1a2029; --ink: #e9e6dd; --faint: #a2abb8; --line: #323a47;
    --kept: #7fc0dc; --kept-soft: #1f3a47; --heed: #f0b25c; --heed-soft: #3d2c10;
    --peril: #f08fc0; --peril-soft: #45152f;
  }
}
* { box-sizing: border-box; }
body { margin: 0; background: var(--paper); color: var(--ink); }
body > * { max-width: 68rem; margin-inline: auto; padding-inline: 1rem; }
header { padding-block: 1.1rem .4rem; }
h1 { font-size: 1.35rem; margin: 0; overflow-wrap: anywhere; }
h2 { font-size: 1.05rem; margin: 1.8rem 0 .6rem; }
h3 { font-size: 1rem; margin: 0; overflow-wrap: anywhere; }
p { margin: .25rem 0; }
.faint { color: var(--faint); font-size: .875rem; }
.figures { display: grid; grid-template-columns: repeat(3, 1fr); gap: .5rem; margin: .8rem 0 .4rem; }
.figure { background: var(--sheet); border: 1px solid var(--line); border-radius: .5rem; padding: .6rem .7rem; }
.figure b { display: block; font-size: clamp(1.1rem, 4.6vw, 1.7rem); font-variant-numeric: tabular-nums; }
.figure span { display: block; }
.fill { margin: .8rem 0; }
.fill progress { width: 100%; height: .8rem; accent-color: var(--kept); }
.cards { display: grid; gap: .6rem; grid-template-columns: repeat(auto-fill, minmax(min(19rem, 100%), 1fr)); }
.card { background: var(--sheet); border: 1px solid var(--line); border-radius: .5rem; padding: .75rem .8rem; min-width: 0; }
.alert { border-left: .4rem solid var(--faint); margin-bottom: .6rem; }
.alert.warning { border-left-color: var(--heed); background: var(--heed-soft); }
.alert.critical { border-left-color: var(--peril); background: var(--peril-soft); }
.alert h3 { font-size: 1.05rem; }
.alert ul, .alert ol { margin: .3rem 0; padding-left: 1.3rem; }
.word { font-weight: 650; }
.tank-head { display: flex; justify-content: space-between; gap: .6rem; align-items: baseline; }
.degrees { font-size: 1.25rem; font-weight: 650; white-space: nowrap; font-variant-numeric: tabular-nums; }
.below .degrees, .above .degrees { color: var(--peril); }
.stale .degrees, .unknown .degrees { color: var(--faint); font-weight: 400; font-size: 1rem; }
.scale { width: 100%; height: 1.1rem; display: block; margin: .35rem 0 .1rem; overflow: visible; }
.scale .track { stroke: var(--line); stroke-width: 3; }
.scale .keep { stroke: var(--kept); stroke-width: 7; opacity: .55; }
.scale .mark { fill: var(--ink); }
.below .scale .mark, .above .scale .mark { fill: var(--peril); }
.sums { display: grid; grid-template-columns: repeat(3, 1fr); gap: .4rem; margin-top: .5rem; }
.sums b { display: block; font-variant-numeric: tabular-nums; }
.roll { overflow-x: auto; }
table { border-collapse: collapse; width: 100%; font-variant-numeric: tabular-nums; }
th, td { text-align: right; padding: .35rem .5rem; border-bottom: 1px solid var(--line); white-space: nowrap; }
th:first-child, td:first-child { text-align: left; white-space: normal; min-width: 10rem; overflow-wrap: anywhere; }
th { font-weight: 500; color: var(--faint); font-size: .875rem; }
tfoot td { font-weight: 650; }
.known { display: flex; flex-wrap: wrap; gap: .2rem 1rem; }
footer { padding-block: 2rem; }
a { color: var(--kept); }
:focus-visible { outline: 3px solid var(--kept); outline-offset: 2px; }
.skip { position: absolute; left: -99rem; }
.skip:focus { left: 1rem; top: .5rem; background: var(--sheet); padding: .4rem .6rem; z-index: 1; }
@media (max-width: 40rem) {
  .roll table, .roll tbody, .roll tr, .roll td, .roll tfoot { display: block; }
  .roll thead { position: absolute; left: -99rem; }
  .roll tr { border-bottom: 1px solid var(--line); padding: .5rem 0; display: grid; grid-template-columns: repeat(3, 1fr); gap: .1rem .4rem; }
  .roll td { border: 0; padding: 0; text-align: left; }
  .roll td:first-child { grid-column: 1 / 3; }
  .roll td[data-head]::before { content: attr(data-head); display: block; color: var(--faint); font-size: .8rem; font-weight: 400; }
}
@media print { body { background: none; } .card, .figure { break-inside: avoid; } .skip { display: none; } }
`;
