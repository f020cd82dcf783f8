// What is looked at: axes, filter, brush, order and the picked design; in the address too, so that a link keeps it.
const view = {
  x: page.start.x, y: page.start.y, where: "", brush: null, sort: null, up: true, all: false,
  picked: page.start.row, before: null, chosen: false,
};
let matching = new Set(everyRow); // rows that the filter lets through
let tabled = everyRow; // rows of the table: those of them in the brush, in order
const drawers = []; // called with the names of what has changed

function change(parts) {
  const where = parts.where ?? view.where;
  if ("where" in parts) matching = new Set(rowsThat(where)); // throws before anything has changed
  if ("picked" in parts && parts.picked !== view.picked) view.before = view.chosen ? view.picked : null;
  if (("x" in parts && parts.x !== view.x) || ("y" in parts && parts.y !== view.y)) view.brush = null;
  Object.assign(view, parts);
  if (["where", "brush", "sort", "up", "x", "y"].some(name => name in parts)) tabled = ordered(inBrush([...matching]));
  for (const draw of drawers) draw(parts);
  remember();
}

function inBrush(rows) {
  if (!view.brush) return rows;
  const { x: [left, right], y: [low, high] } = view.brush;
  const across = coordinate(columnOf.get(view.x)), along = coordinate(columnOf.get(view.y));
  return rows.filter(row => {
    const x = across(row), y = along(row);
    return x !== null && y !== null && left <= x && x <= right && low <= y && y <= high;
  });
}

// Rows by the column that sorts; those without a value come last, whichever way up.
function ordered(rows) {
  if (view.sort === null) return rows;
  const column = columnOf.get(view.sort), sign = view.up ? 1 : -1;
  const keys = new Map(rows.map(row => [row, valueOf(column, row)]));
  return rows.sort((a, b) => {
    const left = keys.get(a), right = keys.get(b);
    if (left === null || right === null) return (left === null) - (right === null) || a - b;
    return left === right ? a - b : left < right ? -sign : sign;
  });
}

// The address follows after a moment: a browser refuses to be told of every one of many picks.
let waiting = null;
function remember() {
  clearTimeout(waiting);
  waiting = setTimeout(() => history.replaceState(null, "", location.pathname + (address() ? `#${address()}` : "")), 300);
}

function address() {
  const state = new URLSearchParams();
  if (view.where) state.set("where", view.where);
  if (view.chosen) state.set("design", designOf(view.picked));
  for (const axis of ["x", "y"]) if (view[axis] !== page.start[axis]) state.set(axis, view[axis]);
  if (view.sort) state.set("sort", (view.up ? "" : "-") + view.sort);
  if (view.brush) state.set("brush", [...view.brush.x, ...view.brush.y].join(" "));
  for (const [dimension, unit] of Object.entries(units)) if (unit !== page.chosen[dimension]) state.set(dimension, unit);
  return state.toString();
}

// What the address says; what it cannot mean is passed over.
function recalled() {
  const state = new URLSearchParams(location.hash.slice(1));
  for (const [dimension, choices] of Object.entries(page.choices)) {
    units[dimension] = choices.includes(state.get(dimension)) ? state.get(dimension) : page.chosen[dimension];
  }
  const known = name => columnOf.has(name) ? name : null;
  const row = rowOfDesign.get(Number(state.get("design")));
  const sides = (state.get("brush") || "").split(" ").map(Number);
  return {
    x: known(state.get("x")) ?? page.start.x,
    y: known(state.get("y")) ?? page.start.y,
    sort: known((state.get("sort") || "").replace(/^-/, "")),
    up: !(state.get("sort") || "").startsWith("-"),
    brush: sides.length === 4 && sides.every(isFinite) ? { x: sides.slice(0, 2), y: sides.slice(2) } : null,
    picked: row ?? page.start.row,
    chosen: row !== undefined,
    where: state.get("where") || "",
  };
}
