// What pointer and keys do to the chart: pick the nearest mark, draw a rectangle, step from mark to mark.
const NEAR = 24, STEADY = 5; // px
let start = null;

const pointOf = event => {
  const box = layers.over.getBoundingClientRect();
  return { x: event.clientX - box.left, y: event.clientY - box.top };
};

function nearest(at) {
  let best = null, least = NEAR ** 2;
  for (const mark of marks) {
    const far = (mark.x - at.x) ** 2 + (mark.y - at.y) ** 2 + (mark.faint ? 100 : 0);
    if (far < least) [best, least] = [mark, far];
  }
  return best;
}

function buildBrush() {
  const plot = byId("plot");
  plot.onpointerdown = event => { if (event.button === 0) { start = pointOf(event); plot.setPointerCapture(event.pointerId); } };
  plot.onpointermove = event => start ? stretch(start, pointOf(event)) : hint(nearest(pointOf(event)));
  plot.onpointerup = event => { const from = start; start = null; if (from) finish(from, pointOf(event)); };
  plot.onpointercancel = () => { start = null; drawBrush(); };
  plot.onpointerleave = () => hint(null);
  plot.onkeydown = key;
  byId("unbrush").onclick = () => change({ brush: null });
}

const moved = (a, b) => Math.max(Math.abs(a.x - b.x), Math.abs(a.y - b.y)) > STEADY;

function stretch(from, to) {
  hint(null);
  if (moved(from, to)) rectangle(Math.min(from.x, to.x), Math.min(from.y, to.y), Math.max(from.x, to.x), Math.max(from.y, to.y));
}

function finish(from, to) {
  if (moved(from, to)) {
    const sides = (a, b, back) => [back(a), back(b)].sort((left, right) => left - right);
    change({ brush: { x: sides(from.x, to.x, frame.back.x), y: sides(from.y, to.y, frame.back.y) } });
    return;
  }
  const mark = nearest(to);
  if (mark) pick(mark.row);
  else if (view.brush) change({ brush: null });
}

function rectangle(left, top, right, bottom) {
  const { box } = frame, within = (value, low, high) => Math.min(Math.max(value, low), high);
  [left, right] = [left, right].map(value => within(value, box.left, box.right));
  [top, bottom] = [top, bottom].map(value => within(value, box.top, box.bottom));
  layers.brush.replaceChildren(svg("rect", { x: left, y: top, width: right - left, height: bottom - top }));
}

function drawBrush() {
  layers.brush.replaceChildren();
  byId("unbrush").hidden = !view.brush;
  if (!view.brush) return;
  const { x: [left, right], y: [low, high] } = view.brush;
  rectangle(frame.across(left), frame.along(high), frame.across(right), frame.along(low));
}

function hint(mark) {
  layers.hint.hidden = !mark;
  if (!mark) return;
  const values = [...new Set([view.x, view.y])].map(name => `${label(columnOf.get(name))}: ${textOf(columnOf.get(name), mark.row)}`);
  layers.hint.textContent = [`Design ${designOf(mark.row)}, ${verdictOf(mark.row) === "design" ? "nothing required" : verdictOf(mark.row)}`, ...values].join("\n");
  const left = mark.x > frame.width / 2;
  layers.hint.style.cssText = `top: ${Math.max(mark.y - 58, 0)}px; ${left ? `right: ${frame.width - mark.x + 12}px` : `left: ${mark.x + 12}px`}`;
}

function key(event) {
  const step = { ArrowRight: 1, ArrowLeft: -1 }[event.key];
  if (event.key === "Escape") change({ brush: null });
  if (!step) return;
  event.preventDefault();
  const order = marks.filter(mark => !mark.faint).sort((a, b) => a.x - b.x || a.y - b.y || a.row - b.row);
  const at = order.findIndex(mark => mark.row === view.picked);
  const next = order[at < 0 ? 0 : Math.min(Math.max(at + step, 0), order.length - 1)];
  if (next) pick(next.row);
}
