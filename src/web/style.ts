/** One style sheet, served from its own address so that the content policy can forbid all else. */
export const STYLE = `
:root {
  color-scheme: light dark;
  --paper: #f6f4ee; --sheet: #fffdf8; --ink: #1d2430; --faint: #555e6c; --line: #d9d4c6;
  --kept: #2f6f8f; --heed: #7f4700; --heed-soft: #fbebd0;
  --peril: #8c1d5b; --peril-soft: #f9dfec;
  font: 16px/1.45 system-ui, -apple-system, "Segoe UI", "Noto Sans", sans-serif;
}
@media screen and (prefers-color-scheme: dark) {
  :root {
    --paper: #12161d; --sheet: #1a2029; --ink: #e9e6dd; --faint: #adb5c1; --line: #323a47;
    --kept: #7fc0dc; --heed: #f0b25c; --heed-soft: #3d2c10;
    --peril: #f08fc0; --peril-soft: #45152f;
  }
}
* { box-sizing: border-box; }
body { margin: 0; background: var(--paper); color: var(--ink); }
body > * { max-width: 68rem; margin-inline: auto; padding-inline: 1rem; }
header { padding-block: .9rem 0; }
h1 { font-size: 1.35rem; margin: 0; }
h2 { font-size: 1.05rem; margin: 1.3rem 0 .4rem; }
h3 { font-size: 1rem; margin: 0; }
p { margin: .25rem 0; }
ul, ol { margin: .25rem 0; padding-left: 1.3rem; }
h1, h2, h3, p, li, summary, th, button, .button { overflow-wrap: anywhere; min-width: 0; }
a { color: var(--kept); }
.faint { color: var(--faint); font-size: .875rem; font-weight: 400; }
.word, .what { font-weight: 650; }
.whole { white-space: nowrap; }
.unseen { position: absolute; width: 1px; height: 1px; overflow: hidden; clip-path: inset(50%); white-space: nowrap; }
.card { background: var(--sheet); border: 1px solid var(--line); border-radius: .5rem; padding: .6rem .8rem; min-width: 0; }
.cards { display: grid; gap: .6rem; grid-template-columns: repeat(auto-fill, minmax(min(19rem, 100%), 1fr)); }

#wrong { font-size: 1.2rem; margin-top: .9rem; }
.alert { border-left: .4rem solid var(--faint); margin-bottom: .6rem; }
.alert.warning { border-left-color: var(--heed); background: var(--heed-soft); }
.alert.critical { border-left-color: var(--peril); background: var(--peril-soft); }
.alert .faint { color: inherit; }
.alert h3 { font-size: 1.1rem; }
.rank { font-size: .8rem; font-weight: 650; border: 1px solid; border-radius: .3rem; padding: 0 .35rem; white-space: nowrap; }
.rank.warning { color: var(--heed); }
.rank.critical { color: var(--peril); }
summary { cursor: pointer; padding: .35rem 0; }
.line { border-top: 1px solid var(--line); }
.line > summary { white-space: nowrap; overflow: hidden; text-overflow: ellipsis; }
.line[open] > summary { white-space: normal; }
.line[open] { padding-bottom: .6rem; }
.fold { border-top: 1px solid var(--line); }
.care { font-size: .875rem; margin-bottom: .6rem; }
.actions { display: flex; flex-wrap: wrap; align-items: center; gap: .5rem .6rem; margin: .6rem 0 .3rem; }
button, .button, input[type="number"] { font: inherit; line-height: 1.3; padding: .4rem .8rem; border: 1px solid currentColor; border-radius: .4rem; background: var(--sheet); color: var(--ink); }
button, .button { display: inline-block; cursor: pointer; text-decoration: none; font-weight: 600; }
button:hover, .button:hover { text-decoration: underline; }
input[type="number"] { width: 6rem; font-variant-numeric: tabular-nums; }
.cards .actions { margin-bottom: 0; }
.cards .button, .cards button { font-size: .875rem; font-weight: 400; border-color: var(--line); }
main > .card, section > form { margin-top: .5rem; }
main > .care { margin-top: 1.3rem; }
.said { scroll-margin-top: 10rem; border-left: .4rem solid var(--kept); font-weight: 650; margin-top: .8rem; }
.said.refused { border-left-color: var(--heed); background: var(--heed-soft); }
.summary { list-style: none; padding: 0; margin: .8rem 0 0; }
.out { color: var(--peril); }

.figures { display: grid; grid-template-columns: repeat(3, 1fr); gap: .5rem; margin: .5rem 0 .4rem; }
.figure { background: var(--sheet); border: 1px solid var(--line); border-radius: .5rem; padding: .5rem .7rem; margin: 0; }
.figure span.faint { display: block; }
.figure b { font-size: clamp(1.05rem, 4.6vw, 1.7rem); font-variant-numeric: tabular-nums; }
.fill { margin: .8rem 0; }
.fill progress { width: 100%; height: .8rem; accent-color: var(--kept); }

.tank-head { display: flex; justify-content: space-between; gap: .6rem; align-items: baseline; }
.degrees { font-size: 1.25rem; font-weight: 650; white-space: nowrap; font-variant-numeric: tabular-nums; }
.below .degrees, .above .degrees { color: var(--peril); }
.stale .degrees, .unknown .degrees, .unprobed .degrees { color: var(--faint); font-weight: 400; font-size: 1rem; }
.scale { width: 100%; height: .9rem; display: block; margin: .3rem 0 0; overflow: visible; }
.scale .track { stroke: var(--line); stroke-width: 3; }
.scale .keep { stroke: var(--kept); stroke-width: 7; opacity: .55; }
.scale .mark { stroke: var(--ink); stroke-width: 1.4; }
.below .scale .mark, .above .scale .mark { stroke: var(--peril); }
.sums { display: grid; grid-template-columns: repeat(3, 1fr); gap: .4rem; margin-top: .4rem; }
.sums p { margin: 0; }
.sums .faint { display: block; }
.sums b { font-variant-numeric: tabular-nums; }
.rooms { list-style: none; margin: 0; }
.rooms li { display: flex; flex-wrap: wrap; justify-content: space-between; gap: 0 1rem; padding: .15rem 0; }

table { border-collapse: collapse; width: 100%; font-variant-numeric: tabular-nums; }
th, td { text-align: right; vertical-align: baseline; padding: .35rem .5rem; border-bottom: 1px solid var(--line); }
td { white-space: nowrap; }
thead th { font-weight: 500; color: var(--faint); font-size: .875rem; }
th:first-child { text-align: left; }
tbody th { font-weight: 400; }
tfoot th, tfoot td { font-weight: 650; }
.kind, .under { display: block; }
footer { padding-block: 1.5rem 2rem; }
:focus-visible { outline: 3px solid var(--kept); outline-offset: 2px; }
.skip { position: absolute; left: -99rem; }
.skip:focus { left: 1rem; top: .5rem; background: var(--sheet); padding: .4rem .6rem; z-index: 1; }

@media screen and (max-width: 40rem) {
  .devices, .devices tbody, .devices tfoot, .devices tr, .devices td, .devices th { display: block; }
  .devices thead { position: absolute; left: -99rem; }
  .devices tr { border-bottom: 1px solid var(--line); padding: .45rem 0; display: grid; grid-template-columns: repeat(3, 1fr); gap: 0 .4rem; }
  .devices td, .devices tbody th, .devices tfoot th { border: 0; padding: 0; text-align: left; white-space: normal; overflow-wrap: anywhere; }
  .devices th { grid-column: 1 / 3; }
  .devices .now { text-align: right; font-weight: 650; }
  .devices td[data-head]::before { content: attr(data-head) " "; color: var(--faint); font-size: .8rem; font-weight: 400; }
}
@media screen and (min-width: 60rem) {
  .urgent { display: grid; grid-template-columns: 5fr 2fr; gap: 1.2rem; margin-bottom: -.2rem; }
  .summary li { display: inline; margin-right: 1.5rem; }
}
@media (forced-colors: active) {
  .scale .track, .scale .keep { stroke: CanvasText; }
  .scale .mark { stroke: Highlight; }
}
@media print {
  :root { --paper: #fff; --sheet: #fff; --ink: #000; --faint: #333; --heed-soft: #fff; --peril-soft: #fff; color-scheme: light; font-size: 11pt; }
  .skip, .unseen, header a, .fill, .actions, .said, form { display: none; }
  .card, .figure, tr { break-inside: avoid; }
  h2 { break-after: avoid; }
  .line > summary { white-space: normal; }
  details::details-content { content-visibility: visible; block-size: auto; }
}
`;
