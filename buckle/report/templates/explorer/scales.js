// From a column to an axis: where a row stands, in stored units, and which ticks a reader sees, in chosen units.
const ACROSS = 0.3; // how far marks of one word are spread about it, as a share of the room between words

// Words of a column in the order in which they come; they never change, and ten thousand take a while.
const wordsKnown = new Map();
function wordsOf(column) {
  if (!wordsKnown.has(column)) wordsKnown.set(column, [...new Set(column.values.filter(value => value !== null && value !== ""))]);
  return wordsKnown.get(column);
}

// A function from a row to its coordinate, or null: a number itself, a word its place among the words of its column.
function coordinate(column) {
  if (isNumeric(column)) return row => typeof valueOf(column, row) === "number" ? valueOf(column, row) : null;
  const at = new Map(wordsOf(column).map((word, index) => [word, index]));
  // The same design always stands in the same place beside its word: golden ratio steps fill the room evenly.
  return row => at.has(column.values[row]) ? at.get(column.values[row]) + ACROSS * (2 * ((row * 0.618034) % 1) - 1) : null;
}

function axisOf(column, rows) {
  const at = coordinate(column);
  return isNumeric(column) ? numberAxis(column, at, rows) : wordAxis(column, at);
}

function wordAxis(column, at) {
  const words = wordsOf(column);
  return { column, at, low: -0.5, high: words.length - 0.5, ticks: words.map((word, index) => ({ at: index, text: digits(word) })), words: true };
}

function numberAxis(column, at, rows) {
  let low = Infinity, high = -Infinity;
  for (const value of [...rows.map(at), ...(column.lines || []).map(line => line.value)]) {
    if (value !== null && value < low) low = value;
    if (value !== null && value > high) high = value;
  }
  if (low > high) [low, high] = [0, 1];
  const room = 0.05 * (high - low) || 0.05 * Math.abs(high) || 1;
  [low, high] = [low - room, high + room];
  const unit = factor(column, shownUnit(column));
  return { column, at, low, high, ticks: ticks(low * unit, high * unit).map(tick => ({ at: tick.value / unit, text: tick.text })) };
}

// Round numbers between two values, about six of them.
function ticks(low, high) {
  const rough = (high - low) / 6, power = 10 ** Math.floor(Math.log10(rough));
  const step = power * [1, 2, 5, 10].find(each => each * power >= rough);
  const decimals = Math.max(0, -Math.floor(Math.log10(step) + 1e-9));
  const found = [];
  for (let at = Math.ceil(low / step - 1e-9); at * step <= high * (1 + 1e-12) + 1e-12; at += 1) {
    found.push({ value: at * step, text: decimals > 6 ? digits(at * step) : (at * step).toFixed(decimals) });
  }
  return found;
}
