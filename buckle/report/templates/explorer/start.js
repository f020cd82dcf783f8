// The controls above the chart, and the beginning.
const MOST_WORDS = 30; // of a column that still makes an axis

const canBeAxis = column => isNumeric(column) || (wordsOf(column).length > 0 && wordsOf(column).length <= MOST_WORDS);

function options(select, chosen) {
  const possible = page.columns.slice(1).filter(canBeAxis);
  const group = (name, columns) => columns.length ? [html("optgroup", { label: name }, ...columns.map(column =>
    html("option", { value: column.name, selected: column.name === chosen ? "" : null }, label(column))))] : [];
  select.replaceChildren(
    ...group("inputs", possible.filter(column => column.input)), ...group("results", possible.filter(column => !column.input)),
    ...group("order", [page.columns[0]]));
}

function drawControls() {
  for (const axis of ["x", "y"]) options(byId(axis), view[axis]);
  for (const dimension of Object.keys(page.choices)) byId(dimension).value = units[dimension];
  byId("all").checked = view.all;
  byId("where").placeholder = example(columnOf.get(view.x));
}

function filter(text) {
  byId("wrong").textContent = "";
  try {
    change({ where: text.trim() });
  } catch (error) {
    byId("wrong").textContent = error.message;
  }
}

function buildControls() {
  byId("filter").onsubmit = event => { event.preventDefault(); filter(byId("where").value); };
  byId("filter").onreset = () => filter("");
  for (const axis of ["x", "y"]) byId(axis).onchange = event => change({ [axis]: event.target.value });
  for (const [dimension, choices] of Object.entries(page.choices)) {
    byId(dimension).replaceChildren(...choices.map(unit => html("option", { value: unit }, unit)));
    byId(dimension).onchange = event => { units[dimension] = event.target.value; change({ units: true }); };
  }
  byId("all").nextSibling.data = ` all ${page.columns.length} columns`;
  byId("all").onchange = event => change({ all: event.target.checked });
}

// A filter that would do something: more than the middle value, or the first word.
function example(column) {
  if (!isNumeric(column)) return `${column.name} == '${wordsOf(column)[0] ?? ""}'`;
  const values = column.values.filter(value => typeof value === "number").sort((a, b) => a - b);
  return `${heading(column)} > ${digits(toShown(column, values[Math.floor(values.length / 2)] ?? 0))}`;
}

// Only what has changed is drawn again: a pick must not build a table of thousands anew.
drawers.push(parts => {
  const only = names => Object.keys(parts).every(name => names.includes(name));
  if (only(["picked", "chosen"])) {
    drawPicked();
    markPicked();
  } else {
    drawControls();
    if (!only(["all"])) drawChart();
    drawTable();
  }
  drawDesign();
});

// What the address asks for; a filter that cannot be read is said, and the rest still shown.
function recall() {
  const { where, ...rest } = recalled();
  byId("where").value = where;
  change({ ...rest, where: "" });
  if (where) filter(where);
}

for (const build of [buildChart, buildBrush, buildTable, buildDesign, buildControls, buildPrint, recall]) build();
onhashchange = recall;
new ResizeObserver(() => requestAnimationFrame(() => { if (byId("plot").clientWidth !== frame.width) drawChart(); })).observe(byId("plot"));
matchMedia("(prefers-color-scheme: dark)").addEventListener("change", drawChart);
