"""The page's style sheet: one quiet column, black on white, one accent.

The accent differs from the text in lightness too, and nothing is told by colour alone.
"""

from __future__ import annotations

__all__ = ["CSS"]

CSS = """
:root {
  --ink: #1d2733; --soft: #55606c; --accent: #14556f; --line: #d5dbe0;
  --ground: #ffffff; --tint: #f4f6f7;
}
* { box-sizing: border-box; }
html {
  font-size: clamp(16px, 14.5px + 0.35vw, 22px);
  -webkit-text-size-adjust: 100%;
}
body {
  margin: 0; background: var(--ground); color: var(--ink);
  font-family: system-ui, -apple-system, "Segoe UI", Roboto, "Noto Sans",
    "Liberation Sans", sans-serif;
  line-height: 1.6; overflow-wrap: anywhere;
  font-variant-numeric: tabular-nums lining-nums;
}
main { max-width: 43rem; margin: 0 auto; padding: 3.5rem 1.5rem 5rem; }
h1, h2 { line-height: 1.2; text-wrap: balance; margin: 0; }
h1 { font-size: 2.3rem; font-weight: 650; letter-spacing: -0.015em; }
h2 { font-size: 1.2rem; font-weight: 650; color: var(--accent); margin-bottom: 0.9rem; }
p, ul, dl, figure { margin: 0 0 1rem; }
section { margin-top: 3rem; }
section > :last-child { margin-bottom: 0; }
.period { color: var(--soft); margin: 0.5rem 0 0; }
header + section { margin-top: 2rem; }
.tank h2 {
  position: absolute; width: 1px; height: 1px; overflow: hidden; clip-path: inset(50%);
}
dl { border-top: 1px solid var(--line); }
dl div {
  display: grid; grid-template-columns: 11rem 1fr; gap: 0 1.5rem;
  padding: 0.35rem 0; border-bottom: 1px solid var(--line);
}
dt { color: var(--soft); }
dd { margin: 0; }
ul { padding-left: 1.15rem; }
li { margin-bottom: 0.5rem; }
li::marker { color: var(--soft); }
.cautions { background: var(--tint); border-radius: 0.5rem; padding: 1.5rem 1.75rem; }
.cautions h2 { color: var(--ink); }
.cautions ul {
  list-style: none; padding: 0; columns: 2; column-gap: 2rem;
  font-size: 0.88rem; line-height: 1.5;
}
.cautions li { break-inside: avoid; margin-bottom: 0.8rem; }
.cautions li:last-child { margin-bottom: 0; }
.cautions p { font-size: 0.88rem; }
.lead { font-size: 1.45rem; line-height: 1.35; font-weight: 550; text-wrap: pretty; }
figure img { display: block; width: 100%; height: auto; }
figcaption { color: var(--soft); font-size: 0.92rem; margin-top: 0.6rem; }
.wide { overflow-x: auto; margin: 0 0 2rem; }
.wide:focus-visible { outline: 2px solid var(--accent); outline-offset: 4px; }
table {
  border-collapse: collapse; width: 100%; font-size: 0.94rem; line-height: 1.45;
  overflow-wrap: break-word;
}
caption { text-align: left; font-weight: 600; padding-bottom: 0.6rem; }
th, td { padding: 0.42rem 0.85rem 0.42rem 0; text-align: left; vertical-align: top; }
th { font-weight: 400; }
th:last-child, td:last-child { padding-right: 0; }
thead th {
  color: var(--soft); font-size: 0.88rem; vertical-align: bottom;
  border-bottom: 1.5px solid var(--ink);
}
tbody tr { border-bottom: 1px solid var(--line); }
.number { text-align: right; }
tbody .number, tbody .brief, tbody .short { white-space: nowrap; }
.number + .text { padding-left: 0.6rem; }
ul + .wide, p + .wide, dl + .wide { margin-top: 1.75rem; }

.label { display: none; }
a { color: var(--accent); }

@media (max-width: 40rem) {
  main { padding: 2rem 1.15rem 3.5rem; }
  h1 { font-size: 1.85rem; }
  section { margin-top: 2.4rem; }
  dl div { grid-template-columns: 7.5rem 1fr; gap: 0 1rem; }
  dl, .cautions ul, .cautions p { font-size: 0.9rem; }
  .cautions { padding: 1.25rem; }
  .cautions ul { columns: 1; }
  .lead { font-size: 1.25rem; }
  table { font-size: 0.84rem; }
  thead th { font-size: 0.8rem; }
  th, td { padding-right: 0.6rem; }
  .number + .text { padding-left: 0.3rem; }
  tbody .text:not(.brief) {
    white-space: normal; overflow-wrap: anywhere; min-width: 5.2rem;
  }
  /* A table of plans is read one plan at a time. */
  .plan thead {
    position: absolute; width: 1px; height: 1px; overflow: hidden;
    clip-path: inset(50%);
  }
  .plan tr { display: block; padding: 0.6rem 0; }
  .plan tbody th { display: block; font-weight: 600; padding: 0 0 0.2rem; }
  .plan td {
    display: flex; justify-content: space-between; gap: 1rem; padding: 0.1rem 0;
    text-align: right;
  }
  .plan .label { display: inline; color: var(--soft); text-align: left; }
  .plan .number + .text { padding-left: 0; }
}

@media print {
  @page { margin: 18mm 17mm; }
  :root { --ink: #000; --soft: #333; --accent: #000; --line: #aaa; --tint: #fff; }
  html { font-size: 10pt; }
  main { max-width: none; padding: 0; }
  section { margin-top: 1.9rem; }
  h2, caption, thead { break-after: avoid; }
  thead { display: table-header-group; }
  tr, figure, li, dl div, .lead { break-inside: avoid; }
  li:last-child { break-before: avoid; }
  p { orphans: 3; widows: 3; }
  .cautions { border: 1px solid #777; padding: 1rem 1.25rem; }
  .wide { overflow: visible; }
  th, td { padding-top: 0.25rem; padding-bottom: 0.25rem; line-height: 1.35; }
  .plan .wide { break-inside: avoid; }
  figure img { max-height: 92mm; object-fit: contain; object-position: left; }
}
"""
"""Style sheet of the page."""
