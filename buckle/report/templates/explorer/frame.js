// What stands around the marks: grid, ticks, names of both axes, and lines that a quantity is held against.
const LETTER = 6.9; // px, about, of a tick's text

function frameOf(width, x, y) {
  const height = Math.round(Math.max(270, Math.min(500, 0.6 * width)));
  const longest = axis => Math.max(...axis.ticks.map(tick => tick.text.length), 1);
  const left = Math.min(14 + LETTER * longest(y), 0.32 * width);
  const slanted = x.words && longest(x) * LETTER > (width - left) / x.ticks.length - 8;
  const bottom = slanted ? Math.min(40 + 0.6 * LETTER * longest(x), 120) : 44;
  const box = { left, right: width - 12, top: 30, bottom: height - bottom };
  const across = value => box.left + (value - x.low) / (x.high - x.low) * (box.right - box.left);
  const along = value => box.bottom - (value - y.low) / (y.high - y.low) * (box.bottom - box.top);
  const back = {
    x: pixel => x.low + (pixel - box.left) / (box.right - box.left) * (x.high - x.low),
    y: pixel => y.low + (box.bottom - pixel) / (box.bottom - box.top) * (y.high - y.low),
  };
  return { width, height, box, x, y, across, along, back, slanted };
}

function drawFrame(frame, group) {
  const { box } = frame;
  group.replaceChildren(
    ...frame.x.ticks.flatMap(tick => [line(frame.across(tick.at), box.top, frame.across(tick.at), box.bottom, "grid"), below(frame, tick)]),
    ...frame.y.ticks.flatMap(tick => [line(box.left, frame.along(tick.at), box.right, frame.along(tick.at), "grid"), beside(frame, tick)]),
    line(box.left, box.bottom, box.right, box.bottom, "axis"),
    line(box.left, box.top, box.left, box.bottom, "axis"),
    svg("text", { x: 2, y: 14, class: "name" }, label(frame.y.column)),
    svg("text", { x: box.right, y: frame.height - 6, class: "name", "text-anchor": "end" }, label(frame.x.column)),
  );
}

function drawLimits(frame, group) {
  group.replaceChildren(
    ...(frame.y.column.lines || []).flatMap(each => across(frame, each)),
    ...(frame.x.column.lines || []).flatMap(each => upright(frame, each)),
  );
}

const line = (x1, y1, x2, y2, kind) => svg("line", { x1, y1, x2, y2, class: kind });

function below(frame, tick) {
  const x = frame.across(tick.at), y = frame.box.bottom + 15;
  if (!frame.slanted) return svg("text", { x, y, "text-anchor": "middle" }, tick.text);
  return svg("text", { x, y: y - 4, "text-anchor": "end", transform: `rotate(-35 ${x} ${y - 4})` }, clipped(tick.text, 28));
}

function beside(frame, tick) {
  const most = Math.floor((frame.box.left - 8) / LETTER);
  return svg("text", { x: frame.box.left - 6, y: frame.along(tick.at) + 4, "text-anchor": "end" }, clipped(tick.text, most));
}

const clipped = (text, most) => text.length > most ? `${text.slice(0, most - 1)}…` : text;

const lineText = (column, each) =>
  `${digits(toShown(column, each.value))}${column.dimension ? ` ${shownUnit(column)}` : ""} ${each.words}`;

function across(frame, each) {
  const y = frame.along(each.value);
  return [
    line(frame.box.left, y, frame.box.right, y, "limit"),
    svg("text", { x: frame.box.right - 3, y: y - 5, "text-anchor": "end", class: "limit" }, lineText(frame.y.column, each)),
  ];
}

function upright(frame, each) {
  const x = frame.across(each.value);
  return [
    line(x, frame.box.top, x, frame.box.bottom, "limit"),
    svg("text", { x, y: frame.box.top - 4, "text-anchor": "middle", class: "limit" }, lineText(frame.x.column, each)),
  ];
}
