// The picked design: its section with the one picked before in grey, and all its numbers beside those of that one.
const TALL = 225; // px of the picture at most, as in style.css
const outlines = JSON.parse(document.getElementById("outlines").textContent);

// Points (r, z) [mm] from the steps in hundredths of a millimetre that the page carries.
function pointsOf(row) {
  const steps = outlines[designOf(row)]?.split(" ").map(Number) ?? [], points = [];
  for (let at = 0, r = 0, z = 0; at < steps.length; at += 2) points.push([(r += steps[at]) / 100, (z += steps[at + 1]) / 100]);
  return points;
}

function pick(row) {
  change({ picked: row, chosen: true });
}

function drawDesign() {
  const row = view.picked, word = verdictOf(row);
  byId("name").replaceChildren(sign(word), `Design ${designOf(row)}`, html("small", {}, headline(row, word)));
  byId("why").textContent = view.chosen ? "" : page.start.why;
  drawSection();
  drawNumbers();
  byId("previous").disabled = tabled.indexOf(row) <= 0;
  byId("next").disabled = tabled.indexOf(row) === tabled.length - 1;
}

function headline(row, word) {
  const about = ["reserve_factor", "governing_limit_state"].map(name => columnOf.get(name)).filter(column => column && valueOf(column, row) !== null);
  return [word === "design" ? "nothing is required" : word, ...about.map(column => (column.name === "reserve_factor" ? "reserve factor " : "") + textOf(column, row))].join(", ");
}

function drawSection() {
  const now = pointsOf(view.picked), before = view.before === null ? [] : pointsOf(view.before);
  const points = [...now, ...before];
  if (!now.length) return byId("section").replaceChildren(html("p", { class: "soft" }, "It has no section: it could not be built."));
  const wide = Math.max(...points.map(([r]) => r)), low = Math.min(...points.map(([, z]) => z)), high = Math.max(...points.map(([, z]) => z));
  const edge = 0.06 * wide, unit = units.length, bar = rulerOf(wide, unit);
  const across = 2 * (wide + edge), pixel = Math.max(across / byId("section").clientWidth, (high - low + 3 * edge) / TALL);
  const below = low - 26 * pixel;
  const picture = svg("svg", { viewBox: `${-wide - edge} ${-high - edge} ${across} ${high - below + edge + 4 * pixel}`, role: "img", "aria-label": `section of design ${designOf(view.picked)}` },
    svg("line", { x1: 0, x2: 0, y1: -high - edge, y2: -low + edge, class: "middle" }),
    ...[[before, "before"], [now, "picked"]].filter(([each]) => each.length).flatMap(([each, kind]) => [1, -1].map(side =>
      svg("polyline", { class: kind, points: each.map(([r, z]) => `${side * r},${-z}`).join(" ") }))),
    svg("path", { class: "ruler", d: `M${-wide},${-below - 5 * pixel}v${5 * pixel}h${bar.long}v${-5 * pixel}` }),
    svg("text", { x: -wide + bar.long + 6 * pixel, y: -below, "font-size": 12 * pixel }, `${bar.text} ${unit}`));
  const caption = view.before === null || !before.length ? "" : `Grey: design ${designOf(view.before)}, picked before.`;
  return byId("section").replaceChildren(picture, ...(caption ? [html("p", { class: "soft" }, caption)] : []));
}

// A round length [mm], about half the radius, with its text in the chosen unit.
function rulerOf(wide, unit) {
  const [step] = ticks(0, 3 * wide / page.units.length[unit]).slice(1);
  return { long: step.value * page.units.length[unit], text: digits(step.value) };
}

// Inputs and what a batch is about first; on a phone the rest waits for a button.
function drawNumbers() {
  const rows = view.before === null || view.before === view.picked ? [view.picked] : [view.picked, view.before];
  const known = page.columns.slice(1).filter(column => rows.some(row => textOf(column, row) !== ""));
  const rank = column => isNumeric(column) ? 0 : 1, results = known.filter(column => !column.input);
  const main = results.filter(column => page.main.includes(column.name)), others = results.filter(column => !main.includes(column));
  byId("numbers").replaceChildren(
    html("colgroup", {}, html("col", { class: "key" })),
    ...(rows.length > 1 ? [html("thead", {}, html("tr", {}, html("td"), ...rows.map(row => html("th", { scope: "col" }, `design ${designOf(row)}`))))] : []),
    numbersPart("inputs", known.filter(column => column.input), rows),
    numbersPart("results", main, rows),
    numbersPart("more results", others.sort((a, b) => rank(a) - rank(b)), rows, "others"));
}

const numbersPart = (name, columns, rows, kind = null) => html("tbody", { class: kind },
  ...(columns.length ? [html("tr", {}, html("th", { class: "part", colspan: rows.length + 1, scope: "rowgroup" }, name))] : []),
  ...columns.map(column => html("tr", {}, html("th", { scope: "row" }, ...breakable(heading(column))), ...rows.map(row => html("td", {}, textOf(column, row))))));

function buildDesign() {
  const step = by => () => { const row = tabled[tabled.indexOf(view.picked) + by]; if (row !== undefined) pick(row); };
  byId("previous").onclick = step(-1);
  byId("next").onclick = step(1);
  byId("more").onclick = () => { byId("numbers").classList.add("whole"); byId("more").hidden = true; };
}
