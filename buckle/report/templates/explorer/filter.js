// What the box asks for: rowsThat(expression) returns the numbers of the rows for which it holds, all for an empty one,
// as `buckle table --where` does. It throws an Error that says what is wrong; readExpression knows the language.
function rowsThat(expression) {
  if (!expression.trim()) return everyRow;
  const { names, value } = readExpression(expression);
  const readings = names.map(name => [name, reading(name)]), known = {};
  return everyRow.filter(row => {
    for (const [name, read] of readings) known[name] = read(row);
    return value(known) === true;
  });
}

// A column by its name as stored or in another unit, such as GMNA.limit_pressure_psi: a function of the row.
function reading(name) {
  const stored = columnOf.get(name);
  if (stored) return row => stored.values[row];
  for (const column of page.columns) {
    const unit = column.dimension && name.startsWith(`${column.stem}_`) ? name.slice(column.stem.length + 1) : "";
    if (unit && Object.hasOwn(page.units[column.dimension], unit)) {
      return row => column.values[row] === null ? null : column.values[row] * factor(column, unit);
    }
  }
  const names = page.columns.map(heading), near = names.filter(each => each.includes(name) || name.includes(each));
  throw new Error(`no column '${name}'${near.length ? `, did you mean ${near.join(" or ")}?` : `; columns: ${names.join(", ")}`}`);
}
