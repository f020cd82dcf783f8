// Expressions in a page: the language of buckle/expression, word for word; tests feed both the same texts.
// readExpression(text) gives { names, value(known) }; both throw an Error that says what is wrong.
const readExpression = (() => {
  const LONGEST = 1000, DEEPEST = 20, MOST_QUOTIENTS = 30;
  const KINDS = [
    /((?:[0-9]+\.?[0-9]*|\.[0-9]+)(?:[eE][+-]?[0-9]+)?(?![A-Za-z0-9_.]))/,
    /('[^']*'|"[^"]*")/,
    /([A-Za-z_][A-Za-z0-9_]*(?:\.[A-Za-z_][A-Za-z0-9_]*|\[[0-9]+\])*)(\()?/,
    /(<=|>=|==|!=|\*\*|[-+*/^<>=(),])/,
  ];
  const TOKEN = new RegExp(`[ \\t\\n\\r\\f\\v]*(?:${KINDS.map(kind => kind.source).join("|")})`, "y");
  const SAME = { "==": "=", "**": "^" };
  const CONSTANTS = { pi: Math.PI };
  const FUNCTIONS = {
    abs: Math.abs, arccos: Math.acos, cos: Math.cos, exp: Math.exp, ln: Math.log, log: Math.log, log10: Math.log10,
    max: Math.max, min: Math.min, sin: Math.sin, sqrt: Math.sqrt, tan: Math.tan,
  };
  const OF_MANY = ["max", "min"];
  const ORDERS = { "<": (a, b) => a < b, "<=": (a, b) => a <= b, ">": (a, b) => a > b, ">=": (a, b) => a >= b };
  const ALLOWED = "numbers, 'texts', names of quantities, true, false, pi, + - * / ^, < <= > >= = !=, and or not, " +
    `brackets, ${Object.keys(FUNCTIONS).join(", ")}`;
  const own = (object, name) => Object.prototype.hasOwnProperty.call(object, name);
  const fail = problem => { throw new Error(problem); };

  function tokens(text) {
    const found = [];
    text = text.replace(/[ \t\n\r\f\v]+$/, "");
    TOKEN.lastIndex = 0;
    while (TOKEN.lastIndex < text.length) {
      const at = TOKEN.lastIndex, match = TOKEN.exec(text);
      if (!match) fail(`'${text.slice(at).replace(/^[ \t\n\r\f\v]+/, "").slice(0, 20)}' is not allowed`);
      const [, number, quoted, name, call, sign] = match;
      if (number !== undefined) {
        if (!isFinite(Number(number))) fail(`'${number}' is too large a number`);
        found.push({ kind: "number", text: number });
      } else if (quoted !== undefined) found.push({ kind: "text", text: quoted.slice(1, -1) });
      else if (name !== undefined) found.push({ kind: call ? "call" : "name", text: name });
      else found.push({ kind: "sign", text: SAME[sign] || sign });
    }
    return [...found, { kind: "end", text: "" }];
  }

  // Every part of what was read is a function of the known values; null is a value that is not known.
  function read(text) {
    const all = tokens(text), names = new Set();
    let at = 0, depth = 0, quotients = 0;
    const next = () => all[at], take = () => all[at++];
    const isSign = (...signs) => next().kind === "sign" && signs.includes(next().text);
    const isWord = word => next().kind === "name" && next().text === word;
    const close = () => { if (!isSign(")")) fail("a bracket ')' is missing"); take(); };

    function deeper(part) {
      if (++depth > DEEPEST) fail(`is nested more than ${DEEPEST} deep`);
      const made = part();
      depth -= 1;
      return made;
    }
    function joined(word, part) {
      const parts = [part()];
      while (isWord(word)) { take(); parts.push(part()); }
      if (parts.length === 1) return parts[0];
      return known => {
        const truths = parts.map(each => each(known)).map(value => value === null ? null : truth(value));
        return truths.includes(word === "or") ? word === "or" : truths.includes(null) ? null : word !== "or";
      };
    }
    const condition = () => joined("or", () => joined("and", negation));
    function negation() {
      if (!isWord("not")) return comparison();
      take();
      const part = deeper(negation);
      return known => onAll([part(known)], ([value]) => !truth(value));
    }
    function comparison() {
      const parts = [sum()], signs = [];
      while (isSign("<", "<=", ">", ">=", "=", "!=")) { signs.push(take().text); parts.push(sum()); }
      if (!signs.length) return parts[0];
      return known => onAll(parts.map(part => part(known)),
        values => signs.every((sign, i) => compared(sign, values[i], values[i + 1])));
    }
    function sum() {
      const terms = [[isSign("+", "-") ? take().text : "+", product()]];
      while (isSign("+", "-")) terms.push([take().text, product()]);
      if (terms.length === 1 && terms[0][0] === "+") return terms[0][1];
      return calculated(terms.map(([, part]) => part),
        values => values.reduce((total, value, i) => terms[i][0] === "+" ? total + value : total - value, 0));
    }
    function product() {
      let made = factor(), factors = [made];
      for (;;) {
        if (isSign("/")) {
          take();
          const over = made, under = factor();
          made = calculated([over, under], ([a, b]) => b === 0 ? fail("division by zero") : a / b);
          factors = [made];
          if (++quotients > MOST_QUOTIENTS) fail(`has more than ${MOST_QUOTIENTS} quotients`);
        } else if (isSign("*")) {
          take();
          factors = [...factors, factor()];
          made = calculated(factors, values => values.reduce((total, value) => total * value, 1));
        } else return made;
      }
    }
    function factor() {
      if (isSign("+", "-")) {
        const sign = take().text, part = deeper(factor);
        return calculated([part], ([value]) => sign === "+" ? 0 + value : 0 - value);
      }
      const base = atom();
      if (!isSign("^")) return base;
      take();
      return calculated([base, deeper(factor)], ([a, b]) => a ** b);
    }
    function atom() {
      const token = take(), { kind, text } = token;
      if (kind === "number") return () => Number(text);
      if (kind === "text") return () => text;
      if (kind === "name" && (text === "true" || text === "false")) return () => text === "true";
      if (kind === "name" && !["and", "or", "not"].includes(text)) {
        if (own(CONSTANTS, text)) return () => CONSTANTS[text];
        names.add(text);
        return known => own(known, text) && known[text] !== undefined ? known[text] : null;
      }
      if (kind === "call") return call(text);
      if (kind === "sign" && text === "(") {
        return deeper(() => { const inner = condition(); close(); return inner; });
      }
      return fail(text ? `'${text}' was not expected` : "something is missing at the end");
    }
    function call(name) {
      const parts = deeper(() => {
        const made = [sum()];
        while (isSign(",")) { take(); made.push(sum()); }
        close();
        return made;
      });
      if (!own(FUNCTIONS, name)) fail(`no function '${name}'`);
      if (parts.length > 1 && !OF_MANY.includes(name)) fail(`${name} is a function of one number`);
      return calculated(parts, values => FUNCTIONS[name](...values));
    }

    const value = condition();
    if (next().kind !== "end") fail(`'${next().text}' was not expected`);
    return { names: [...names], value };
  }

  const onAll = (values, work) => values.includes(null) ? null : work(values);
  const kindOf = value => typeof value === "boolean" ? "truth" : typeof value === "number" ? "number" : "text";
  const truth = value => typeof value === "boolean" ? value : fail(`'${value}' stands where a condition belongs`);
  const number = value => typeof value === "number" ? value : fail(`'${value}' stands where a number belongs`);
  function compared(sign, a, b) {
    if (own(ORDERS, sign)) return ORDERS[sign](number(a), number(b));
    return (kindOf(a) === kindOf(b) && a === b) === (sign === "=");
  }
  function calculated(parts, work) {
    return known => onAll(parts.map(part => part(known)), values => {
      const result = work(values.map(number));
      return isFinite(result) ? result : fail("the result is not finite");
    });
  }

  return text => {
    const shown = text.length <= 80 ? text : `${text.slice(0, 80)}...`;
    try {
      if (text.length > LONGEST) fail(`is longer than ${LONGEST} characters`);
      const { names, value } = read(text);
      return {
        names,
        value: known => {
          try {
            return value(known);
          } catch (error) {
            throw new Error(`${shown}: cannot be worked out: ${error.message}`);
          }
        },
      };
    } catch (error) {
      throw new Error(`${shown}: ${error.message}; allowed: ${ALLOWED}`);
    }
  };
})();
