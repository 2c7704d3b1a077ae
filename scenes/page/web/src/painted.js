// A label of the picture, painted into a copy of it as it looks on the page.

const LINE = 1.25; // of the size of the letters
const ASIDE = 8; // pixels beside words

/** label: laid out, its box in pixels of the page. */
export function painted(context, { kind, element, leader, box, gap }) {
  const look = window.getComputedStyle(element);
  const [wide, high] = [box.right - box.left, box.bottom - box.top];
  const edge = kind === "leak" ? look.backgroundColor : look.borderTopColor;
  if (gap > Math.max(wide, high) / 2) line(context, leader, edge);
  context.beginPath();
  if (kind === "leak") context.arc(box.left + wide / 2, box.top + high / 2, wide / 2, 0, 2 * Math.PI);
  else context.rect(box.left, box.top, wide, high);
  context.fillStyle = look.backgroundColor;
  context.fill();
  context.lineWidth = kind === "leak" ? 3 : Number.parseFloat(look.borderTopWidth) || 1;
  context.strokeStyle = look.borderTopColor;
  context.stroke();
  const parts = element.childElementCount ? Array.from(element.children) : [element];
  const one = parts.length === 1 ? (high - LINE * Number.parseFloat(look.fontSize)) / 2 : ASIDE / 2;
  parts.reduce((top, part) => words(context, part, box, top), box.top + one);
}

function line(context, leader, colour) {
  const [x1, y1, x2, y2] = ["x1", "y1", "x2", "y2"].map((name) => Number(leader.getAttribute(name)));
  context.beginPath();
  context.moveTo(x1, y1);
  context.lineTo(x2, y2);
  context.lineWidth = 1.5;
  context.strokeStyle = colour;
  context.stroke();
}

/** Words broken over the width of their box; `top` is where they begin. Gives where they end. */
function words(context, part, box, top) {
  const look = window.getComputedStyle(part);
  if (look.display === "none") return top;
  context.font = `${look.fontWeight} ${look.fontSize} ${look.fontFamily}`;
  context.fillStyle = look.color;
  const centred = look.textAlign === "center";
  context.textAlign = centred ? "center" : "left";
  context.textBaseline = "middle";
  const x = centred ? (box.left + box.right) / 2 : box.left + ASIDE;
  const step = LINE * Number.parseFloat(look.fontSize);
  const lines = broken(context, part.textContent, box.right - box.left - 2 * ASIDE);
  lines.forEach((line, k) => context.fillText(line, x, top + (k + 0.5) * step));
  return top + lines.length * step;
}

function broken(context, text, width) {
  const lines = [];
  for (const word of text.split(/\s+/)) {
    const longer = lines.length ? `${lines[lines.length - 1]} ${word}` : word;
    if (lines.length && context.measureText(longer).width <= width) lines[lines.length - 1] = longer;
    else lines.push(word);
  }
  return lines;
}
