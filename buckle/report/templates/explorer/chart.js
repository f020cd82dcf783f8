// Any two columns against each other: the rows that the filter lets through, the others as ghosts.
const layers = {};
let frame = null, marks = [];

function buildChart() {
  layers.canvas = html("canvas", { "aria-hidden": "true" });
  for (const name of ["back", "alike", "marks", "limits", "rings", "brush"]) layers[name] = svg("g", { class: name });
  layers.under = svg("svg", { class: "under" }, layers.back, layers.alike); // beneath marks that are painted
  layers.over = svg("svg", {}, layers.marks, layers.limits, layers.rings, layers.brush);
  layers.hint = html("div", { id: "hint", hidden: "" });
  byId("plot").append(layers.under, layers.canvas, layers.over, layers.hint);
}

function drawChart() {
  const rows = [...matching], width = byId("plot").clientWidth;
  const x = axisOf(columnOf.get(view.x), rows), y = axisOf(columnOf.get(view.y), rows);
  frame = frameOf(width, x, y);
  for (const layer of [layers.under, layers.over]) filled(layer, { width, height: frame.height, viewBox: `0 0 ${width} ${frame.height}` }, []);
  drawFrame(frame, layers.back);
  drawLimits(frame, layers.limits);
  marks = marksOf(x, y);
  drawMarks(marks, layers.marks, layers.canvas, width, frame.height);
  drawPicked();
  drawBrush();
  byId("legend").replaceChildren(...legend());
  byId("missing").textContent = missing(rows).join(" ");
  byId("plot").setAttribute("aria-label", `${label(y.column)} against ${label(x.column)}: ${plural(marks.filter(each => !each.faint).length, "design")} shown. Left and right arrows pick the next one, Escape ends the brush.`);
}

// Ghosts first, so that they lie beneath, and what is known at least last.
function marksOf(x, y) {
  const brushed = view.brush ? new Set(tabled) : null;
  const found = [];
  for (const row of everyRow) {
    const across = x.at(row), along = y.at(row);
    if (across === null || along === null || across < x.low || across > x.high || along < y.low || along > y.high) continue;
    const faint = !matching.has(row) || (brushed !== null && !brushed.has(row));
    found.push({ row, x: frame.across(across), y: frame.along(along), up: isAtLeast(y.column, row), right: isAtLeast(x.column, row), faint });
  }
  return found.sort((a, b) => b.faint - a.faint || isOpen(a) - isOpen(b));
}

function legend() {
  const shown = marks.filter(mark => !mark.faint), words = shown.map(mark => verdictOf(mark.row));
  const open = shown.filter(isOpen).length;
  const named = verdicts.filter(word => words.includes(word)).map(word =>
    html("span", {}, sign(word), word === "design" ? `${plural(words.length, "design")}, nothing is required` : `${word} ${words.filter(each => each === word).length}`));
  if (open) named.push(html("span", {}, `open, with an arrow: at least ${open}`));
  return named;
}

// How many designs the chart cannot show, and what became of them.
function missing(rows) {
  const sentences = [...new Set([view.x, view.y])].flatMap(name => {
    const column = columnOf.get(name), at = coordinate(column), without = rows.filter(row => at(row) === null);
    if (!without.length) return [];
    const ended = counted(without.map(row => columnOf.get("status").values[row]));
    return [`${without.length} of ${plural(rows.length, "design")} ${without.length === 1 ? "has" : "have"} no value of ${label(column)} (${ended}).`];
  });
  if (page.differs && [view.x, view.y].some(name => columnOf.get(name).held)) sentences.push("The required pressure differs from design to design: no line is drawn.");
  return sentences;
}

function drawPicked() {
  const ring = (row, kind) => marks.filter(mark => mark.row === row).map(mark => svg("circle", { cx: mark.x, cy: mark.y, r: 9, class: kind }));
  layers.rings.replaceChildren(...ring(view.before, "before"), ...ring(view.picked, "picked"));
  layers.alike.replaceChildren(...alikeLine());
}

// A line through the designs that are alike the picked one in all inputs but that across; what is known at least is no point of it.
function alikeLine() {
  const others = page.independent.filter(name => name !== view.x).map(name => columnOf.get(name));
  if (view.picked === null || !page.independent.includes(view.x) || frame.y.words) return byId("alike").textContent = "", [];
  const alike = marks.filter(mark => !isOpen(mark) && others.every(column => column.values[mark.row] === column.values[view.picked])).sort((a, b) => a.x - b.x);
  const several = alike.length > 1 && others.length > 0;
  byId("alike").textContent = several ? `The line joins ${alike.length} designs that are like design ${designOf(view.picked)} in every input but ${label(frame.x.column)} and what follows from it.` : "";
  return several ? [svg("polyline", { points: alike.map(mark => `${mark.x},${mark.y}`).join(" ") })] : [];
}
