// Marks of designs: a shape and a colour for each verdict; open with an arrow where a value is known at least.
// Up to MANY they are elements, beyond that they are painted: a browser stalls on ten thousand elements.
const MANY = 1500;
const SHAPES = {
  "met": { d: "M-4.5,0a4.5,4.5 0 1 0 9,0a4.5,4.5 0 1 0 -9,0z", colour: "--met" },
  "met with doubt": { d: "M0,-5.6L5.2,3.9L-5.2,3.9z", colour: "--doubt" },
  "not met": { d: "M-4.2,-4.2h8.4v8.4h-8.4z", colour: "--short" },
  "no verdict": { d: "M0,-5.6L5.6,0L0,5.6L-5.6,0z", colour: "--none" },
  "design": { d: "M-4,0a4,4 0 1 0 8,0a4,4 0 1 0 -8,0z", colour: "--met" },
};
const UP = "M0,-5v-10m-3.5,4l3.5,-4l3.5,4", RIGHT = "M5,0h10m-4,-3.5l4,3.5l-4,3.5";
const shapeOf = row => SHAPES[verdictOf(row)] || SHAPES["no verdict"];

// What is drawn of a row: mark = { row, x, y [px], up, right, faint }.
const outlineOf = mark => shapeOf(mark.row).d + (mark.up ? UP : "") + (mark.right ? RIGHT : "");
const isOpen = mark => Boolean(mark.up || mark.right);

function drawMarks(marks, group, canvas, width, height) {
  const few = marks.length <= MANY;
  group.replaceChildren(...(few ? marks.map(elementOf) : []));
  canvas.hidden = few;
  if (!few) paint(marks, canvas, width, height);
}

function elementOf(mark) {
  return svg("path", {
    d: outlineOf(mark), transform: `translate(${mark.x.toFixed(1)},${mark.y.toFixed(1)})`, "data-design": designOf(mark.row),
    class: `mark${isOpen(mark) ? " open" : ""}${mark.faint ? " faint" : ""}`, style: `--own: var(${shapeOf(mark.row).colour})`,
  });
}

function paint(marks, canvas, width, height) {
  const sharp = Math.max(devicePixelRatio || 1, 1), style = getComputedStyle(document.documentElement);
  [canvas.width, canvas.height] = [width * sharp, height * sharp];
  [canvas.style.width, canvas.style.height] = [`${width}px`, `${height}px`];
  const pen = canvas.getContext("2d"), paths = new Map();
  const colours = Object.fromEntries(["--met", "--doubt", "--short", "--none", "--ghost", "--paper"].map(name => [name, style.getPropertyValue(name)]));
  for (const mark of marks) {
    const d = outlineOf(mark), colour = colours[mark.faint ? "--ghost" : shapeOf(mark.row).colour];
    if (!paths.has(d)) paths.set(d, new Path2D(d));
    pen.setTransform(sharp * 0.7, 0, 0, sharp * 0.7, sharp * mark.x, sharp * mark.y);
    pen.globalAlpha = mark.faint ? 1 : 0.75;
    pen.fillStyle = isOpen(mark) ? colours["--paper"] : colour;
    pen.strokeStyle = colour;
    pen.lineWidth = 1.4;
    pen.fill(paths.get(d));
    if (isOpen(mark)) pen.stroke(paths.get(d));
  }
}

// A mark as a sign in a line of text.
const sign = word => svg("svg", { class: "sign", viewBox: "-7 -7 14 14", "aria-hidden": "true" },
  svg("path", { class: "mark", d: (SHAPES[word] || SHAPES["no verdict"]).d, style: `--own: var(${(SHAPES[word] || SHAPES["no verdict"]).colour})` }));
