// Elements with attributes and children; text is never read as HTML.
function filled(made, attributes, children) {
  for (const [name, value] of Object.entries(attributes)) {
    if (name.startsWith("on")) made[name] = value;
    else if (value !== null && value !== false) made.setAttribute(name, value);
  }
  made.append(...children);
  return made;
}
const html = (tag, attributes = {}, ...children) => filled(document.createElement(tag), attributes, children);
const svg = (tag, attributes = {}, ...children) =>
  filled(document.createElementNS("http://www.w3.org/2000/svg", tag), attributes, children);

// A name that may break into lines where its words end.
const breakable = name => name.split(/(?<=[._])/).flatMap((part, at) => at ? [html("wbr"), part] : [part]);
