// The box's expression. rowsThat(expression) returns the numbers of the rows for which it holds, all for an empty one,
// and throws an Error that says what is wrong; nothing else of the page reads expressions.
const comparisons = {
  "<": (a, b) => a < b, "<=": (a, b) => a <= b, ">": (a, b) => a > b, ">=": (a, b) => a >= b,
  "=": (a, b) => a === b, "==": (a, b) => a === b, "!=": (a, b) => a !== b,
};

// A column by its stored name or by its name in another unit, such as GMNA.limit_pressure_psi: a function of the row.
function reading(name) {
  const stored = columnOf.get(name);
  if (stored) return row => stored.values[row];
  for (const column of page.columns) {
    const unit = column.dimension && name.startsWith(`${column.stem}_`) ? name.slice(column.stem.length + 1) : "";
    if (unit && page.units[column.dimension][unit]) {
      return row => column.values[row] === null ? null : column.values[row] * factor(column, unit);
    }
  }
  throw new Error(`no column "${name}"; columns: ${page.columns.map(heading).join(", ")}`);
}

function condition(text) {
  const found = /^\s*(.+?)\s*(<=|>=|==|!=|<|>|=)\s*(.+?)\s*$/.exec(text);
  if (!found) throw new Error(`"${text.trim()}" is not NAME < VALUE; signs: < <= > >= == !=`);
  const [, name, sign, value] = found;
  const read = reading(name), wanted = isNaN(value) ? value.replace(/^['"]|['"]$/g, "") : Number(value);
  return row => typeof read(row) === typeof wanted && comparisons[sign](read(row), wanted);
}

function rowsThat(expression) {
  const all = expression.trim() ? expression.split(/\s+and\s+/).map(condition) : [];
  return everyRow.filter(row => all.every(holds => holds(row)));
}
