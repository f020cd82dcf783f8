// The table of designs: what was put in before what came out; more rows follow as one scrolls.
const CHUNK = 60;
const NARROW = "(max-width: 60rem)"; // as in style.css
let shownRows = 0;

// The columns of the table, inputs first; those of the chart are always among them.
function tableColumns() {
  const names = view.all ? page.columns.map(column => column.name) : new Set([...page.main, view.x, view.y]);
  const columns = [...names].map(name => columnOf.get(name));
  const design = columns.slice(0, 1), rest = columns.slice(1);
  return [...design, ...rest.filter(column => column.input), ...rest.filter(column => !column.input)];
}

function drawTable() {
  const columns = tableColumns(), inputs = columns.filter(column => column.input).length;
  const group = (name, span) => span ? [html("th", { colspan: span, scope: "colgroup", class: "group" }, html("span", {}, name))] : [];
  byId("head").replaceChildren(
    html("tr", {}, html("td", { class: "group first" }), ...group("inputs", inputs), ...group("results", columns.length - 1 - inputs)),
    html("tr", {}, ...columns.map((column, at) => head(column, cellClass(column, at, inputs)))),
  );
  byId("rows").replaceChildren();
  shownRows = 0;
  more();
  byId("scroll").scrollTop = 0;
  byId("count").textContent = `${tabled.length} of ${plural(rowCount, "design")}${view.brush ? " in the brush" : ""}`;
}

const cellClass = (column, at, inputs) =>
  [at === 0 ? "first" : "", at === 1 && column.input ? "second" : "", at === inputs + 1 ? "edge" : "", isNumeric(column) ? "number" : ""].join(" ").trim() || null;

function head(column, kind) {
  const sorted = view.sort === column.name, way = sorted ? (view.up ? "ascending" : "descending") : "none";
  const arrow = html("span", { class: "arrow", "aria-hidden": "true" }, sorted ? (view.up ? "▲" : "▼") : "↕");
  const button = html("button", { type: "button", onclick: () => sortBy(column.name) }, ...breakable(heading(column)), " ", arrow);
  return html("th", { scope: "col", class: kind, "aria-sort": way, "data-column": column.name }, button);
}

function sortBy(name) {
  change({ sort: name, up: view.sort === name ? !view.up : true });
  byId("head").querySelector(`[data-column="${CSS.escape(name)}"] button`).focus();
}

function more() {
  const columns = tableColumns(), inputs = columns.filter(column => column.input).length;
  const kinds = columns.map((column, at) => cellClass(column, at, inputs));
  const fresh = tabled.slice(shownRows, shownRows + CHUNK);
  byId("rows").append(...fresh.map((row, at) => tableRow(row, columns, kinds, shownRows + at === 0)));
  shownRows += fresh.length;
  byId("left").textContent = tabled.length > shownRows ? `${tabled.length - shownRows} more follow as you scroll.` : "";
}

function tableRow(row, columns, kinds, first) {
  const made = html("tr", { tabindex: row === view.picked || first ? 0 : -1, "data-row": row, "data-design": designOf(row), "aria-selected": String(row === view.picked) });
  columns.forEach((column, at) => made.append(at === 0
    ? html("th", { scope: "row", class: kinds[at] }, sign(verdictOf(row)), String(designOf(row)))
    : html("td", { class: kinds[at] }, textOf(column, row))));
  return made;
}

const lineOf = row => byId("rows").querySelector(`[data-row="${row}"]`);

function markPicked() {
  for (const line of byId("rows").querySelectorAll("[aria-selected=true]")) [line.ariaSelected, line.tabIndex] = ["false", -1];
  const line = lineOf(view.picked);
  if (line) [line.ariaSelected, line.tabIndex] = ["true", 0];
}

// On a phone the design stands above the table.
function pickAndShow(row) {
  pick(row);
  if (matchMedia(NARROW).matches) byId("name").scrollIntoView({ behavior: "smooth" });
}

function buildTable() {
  byId("scroll").onscroll = ({ target }) => {
    if (target.scrollTop + target.clientHeight > target.scrollHeight - 600 && shownRows < tabled.length) more();
  };
  byId("rows").onclick = event => { const line = event.target.closest("tr"); if (line) pickAndShow(Number(line.dataset.row)); };
  byId("rows").onkeydown = event => {
    const at = tabled.indexOf(Number(event.target.closest("tr").dataset.row));
    const next = { ArrowDown: at + 1, ArrowUp: at - 1, Home: 0, End: tabled.length - 1, Enter: at, " ": at }[event.key];
    if (next === undefined || !(next in tabled)) return;
    event.preventDefault();
    while (shownRows <= next) more();
    pick(tabled[next]);
    lineOf(tabled[next]).focus();
  };
}
