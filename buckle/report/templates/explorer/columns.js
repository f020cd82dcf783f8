// Columns of the batch: values as stored, and as shown in the units that the reader has chosen.
const page = JSON.parse(document.getElementById("data").textContent);
const byId = id => document.getElementById(id);
const columnOf = new Map(page.columns.map(column => [column.name, column]));
const rowCount = page.columns[0].values.length;
const everyRow = Array.from({ length: rowCount }, (_, row) => row);
const units = { ...page.chosen };

// What 1 of the stored unit of a column is in another unit.
const factor = (column, unit) =>
  !column.dimension || unit === column.unit ? 1 : page.units[column.dimension][column.unit] / page.units[column.dimension][unit];
const shownUnit = column => units[column.dimension];
const toShown = (column, value) => typeof value === "number" ? value * factor(column, shownUnit(column)) : value;

const heading = column => column.dimension ? `${column.stem}_${shownUnit(column)}` : column.name;
const label = column => column.dimension ? `${column.label}  [${shownUnit(column)}]` : column.label;

// What is stored, else what the quantity is known to be at least, else null.
const valueOf = (column, row) => column.values[row] ?? column.bounds?.[row] ?? null;
const isAtLeast = (column, row) => column.bounds !== undefined && row in column.bounds;

function digits(value) {
  if (typeof value === "number") return String(Number(value.toPrecision(5)));
  if (typeof value === "boolean") return String(value);
  return value === null ? "" : value;
}
const textOf = (column, row) =>
  (isAtLeast(column, row) ? "at least " : "") + digits(toShown(column, valueOf(column, row)));

const isNumeric = column => column.numeric;
for (const column of page.columns) {
  column.numeric = column.bounds !== undefined || column.values.some(value => typeof value === "number");
}
const designOf = row => page.columns[0].values[row];
const rowOfDesign = new Map(page.columns[0].values.map((design, row) => [design, row]));

// The word that a mark stands for; one and the same for all where nothing is required.
const verdicts = page.verdicts.length ? page.verdicts : ["design"];
const found = page.verdicts.length ? columnOf.get(page.verdict)?.values ?? [] : null;
const verdictOf = row => found === null ? "design" : found[row] ?? "no verdict";

const plural = (number, word) => `${number} ${word}${number === 1 ? "" : "s"}`;

// The words of a list with how often each occurs: "5 not built, 2 failed".
function counted(words) {
  const counts = new Map();
  for (const word of words) counts.set(word, (counts.get(word) || 0) + 1);
  return [...counts].map(([word, number]) => `${number} ${word}`).join(", ");
}
