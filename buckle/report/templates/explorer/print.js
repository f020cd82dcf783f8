// On paper: more of the table than a screen needs, and in words what the controls would show.
const MOST_PRINTED = 500;

function toPaper() {
  while (shownRows < Math.min(tabled.length, MOST_PRINTED)) more();
  const range = (name, sides) => {
    const column = columnOf.get(name);
    return isNumeric(column) ? [`${label(column)} from ${sides.map(value => digits(toShown(column, value))).join(" to ")}`] : [];
  };
  const parts = [
    view.where ? `with ${view.where}` : "",
    ...(view.brush ? [...range(view.x, view.brush.x), ...range(view.y, view.brush.y)] : []),
  ].filter(part => part);
  const left = tabled.length > shownRows ? ` The table shows the first ${shownRows}.` : "";
  byId("printed").textContent = `${byId("count").textContent}${parts.length ? `: ${parts.join("; ")}` : ""}.${left}`;
}

function buildPrint() {
  onbeforeprint = toPaper;
  matchMedia("print").addEventListener("change", drawChart);
}
