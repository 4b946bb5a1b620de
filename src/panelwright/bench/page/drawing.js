// The drawing: shown whole when its layout is new, mended piece by piece otherwise; states are classes, toggled.

import { chosen, facts, shown } from "./facts.js";

const LEAST_CAP_PX = 9; // no view is shown with smaller capitals; it scrolls instead
const CAP_MM = 2.5;
const MOST_PX_PER_MM = 6.4;
const REACH_PX = [0, 5, 10, 16, 22]; // how far beside a thin line a finger may land
const NET_STATES = ["live", "zero", "dead", "partial"];
const PART_STATES = ["moved", "live", "busy", "partial", "broken"];

const KINDS = [["net", "net"], ["element", "part"], ["device", "device"], ["wire", "wire"]];
const SVG = "http://www.w3.org/2000/svg";
const drawings = new Map(); // "rungs 0" -> {node, pieces, size, index: Map("net:4" -> groups)}
const paper = document.getElementById("paper");
const room = { width: 0, height: 0 }; // of the paper; asking for it in the midst of a change would cost a layout

export function takeRoom({ width, height }) {
  Object.assign(room, { width, height });
  resize();
}

const key = () => `${shown().look} ${shown().sheet}`;

export function takeDrawings(answer) {
  for (const [name, change] of Object.entries(answer)) {
    if (change.svg !== undefined) drawings.set(name, whole(change.svg));
    else if (drawings.get(name)?.node) mend(drawings.get(name), change);
  }
  show();
}

function whole(text) {
  const holder = document.createElement("template");
  holder.innerHTML = text;
  const node = holder.content.querySelector("svg");
  if (!node?.hasAttribute("viewBox")) return { node: null, index: new Map(), pieces: [] };
  const drawing = { node, index: new Map(), pieces: [...node.children] };
  measure(drawing, node.getAttribute("viewBox"));
  node.setAttribute("role", "img");
  node.setAttribute("aria-labelledby", "drawing-title drawing-said");
  for (const piece of drawing.pieces) enter(drawing, piece);
  return drawing;
}

// Takes the size over, and what the drawing says of itself to those who cannot see it.
function measure(drawing, viewBox) {
  drawing.node.setAttribute("viewBox", viewBox);
  const [width, height] = viewBox.split(" ").slice(2).map(Number);
  drawing.size = { width, height };
  drawing.node.querySelector(":scope > title")?.setAttribute("id", "drawing-title");
  drawing.node.querySelector(":scope > desc")?.setAttribute("id", "drawing-said");
}

// Puts the groups of one piece of the drawing into the index, and gives them the states of this moment.
function enter(drawing, piece) {
  const worked = new Set(facts.panel.controls.map((one) => one.tag));
  for (const group of [piece, ...piece.querySelectorAll("[data-net],[data-element],[data-device]")]) {
    for (const [attribute, kind] of KINDS) {
      const id = group.dataset?.[attribute];
      if (!id) continue;
      if (attribute === "element" && worked.has(id.split(".")[0])) group.classList.add("by-hand");
      const key = `${kind}:${id}`;
      if (!drawing.index.has(key)) drawing.index.set(key, new Set());
      drawing.index.get(key).add(group);
    }
  }
}

function leave(drawing, piece) {
  for (const group of [piece, ...piece.querySelectorAll("[data-net],[data-element],[data-device]")]) {
    for (const [attribute, kind] of KINDS) drawing.index.get(`${kind}:${group.dataset?.[attribute]}`)?.delete(group);
  }
}

function mend(drawing, { from, drop, put, head }) {
  const holder = document.createElement("template");
  holder.innerHTML = `<svg xmlns="http://www.w3.org/2000/svg">${put.join("")}</svg>`;
  const fresh = [...holder.content.firstChild.children];
  const gone = drawing.pieces.splice(from, drop, ...fresh);
  const after = gone.at(-1)?.nextSibling ?? drawing.pieces[from + fresh.length] ?? null;
  for (const piece of fresh) {
    drawing.node.insertBefore(piece, gone[0] ?? after);
    enter(drawing, piece);
  }
  for (const piece of gone) {
    leave(drawing, piece);
    piece.remove();
  }
  for (const [key, value] of Object.entries(facts.live)) {
    for (const group of drawing.index.get(key) ?? []) if (fresh.some((one) => one.contains(group))) paint(group, key, value);
  }
  measure(drawing, head.match(/viewBox="([^"]*)"/)[1]);
}

export function show() {
  const drawing = drawings.get(key());
  if (!drawing?.node) return;
  if (paper.firstElementChild !== drawing.node) {
    paper.replaceChildren(drawing.node);
    for (const [what, value] of Object.entries(facts.live)) paintAll(drawing, what, value);
  }
  resize();
  mark();
}

export function resize() {
  const drawing = drawings.get(key());
  if (!drawing?.node) return;
  const scale = legible(drawing) * chosen.zoom;
  drawing.node.setAttribute("width", Math.round(drawing.size.width * scale));
  drawing.node.setAttribute("height", Math.round(drawing.size.height * scale));
}

function fitting({ size }) {
  return Math.min(room.width / size.width, room.height / size.height, MOST_PX_PER_MM);
}

function legible(drawing) {
  return Math.max(fitting(drawing), LEAST_CAP_PX / CAP_MM);
}

export function wholeZoom() {
  const drawing = drawings.get(key());
  return drawing?.node ? fitting(drawing) / legible(drawing) : 1;
}

// As it is on paper: one millimetre is one millimetre, unless the sheet is too small.
export function toPaperSize() {
  const drawing = drawings.get(key());
  if (!drawing?.node) return;
  drawing.node.setAttribute("width", `${drawing.size.width}mm`);
  drawing.node.setAttribute("height", `${drawing.size.height}mm`);
}

// One change of state, at once, in the drawing that is shown.
export function takeLive(changes) {
  const drawing = drawings.get(key());
  if (!drawing) return;
  for (const [key, value] of Object.entries(changes)) paintAll(drawing, key, value);
}

function paintAll(drawing, key, value) {
  for (const group of drawing.index.get(key) ?? []) paint(group, key, value);
}

function paint(group, key, value) {
  if (key.startsWith("net:")) {
    const [state, label] = value ?? ["dead", ""];
    for (const name of NET_STATES) group.classList.toggle(name, name === state);
    word(group, "volts", label);
  } else if (key.startsWith("part:")) {
    const [states, said] = value ?? [[], ""];
    for (const name of PART_STATES) group.classList.toggle(name, states.includes(name));
    word(group, "state-word", said);
  }
}

function word(group, role, text) {
  const holder = group.classList.contains(role) ? group : group.querySelector(`:scope > .${role}`);
  const line = holder?.querySelector("text");
  if (line && line.textContent !== text) line.textContent = text;
}

let also = () => ({ marks: [], red: "", black: "" });

// `more` gives what else is marked: places with a number, and where the leads go next.
export function markAlso(more) {
  also = more;
}

// What was chosen (a wire, a device) and where the leads are is marked behind the ink of whatever drawing is shown.
export function mark() {
  const drawing = drawings.get(key());
  if (!drawing?.node) return;
  drawing.node.querySelector(":scope > .marks")?.remove();
  const marks = document.createElementNS(SVG, "g");
  marks.setAttribute("class", "marks");
  const bands = made("g", { class: "bands" }); // as one, so that bands that overlap do not grow darker
  const ones = drawing.index.get(`wire:${chosen.wire}`);
  for (const group of ones?.size ? ones : drawing.index.get(`net:${chosen.net}`) ?? []) {
    for (const line of group.querySelectorAll(".wire,.rail,.lead")) bands.append(copied(drawing, line));
  }
  if (bands.childNodes.length) marks.append(bands);
  for (const group of drawing.index.get(`device:${chosen.device}`) ?? []) marks.append(frame(boxOf(drawing, group)));
  const next = also();
  const tagged = new Map(); // so that several numbers at one place stand side by side
  for (const one of next.marks) suspect(drawing, marks, one, tagged);
  const leads = next.red ? next : facts.meter;
  for (const [which, letter] of [["red", "R"], ["black", "B"]]) plug(drawing, marks, leads[which], which, letter);
  if (marks.childNodes.length) drawing.node.append(marks);
}

// A copy of a line, where it lies on the sheet.
function copied(drawing, line) {
  const copy = line.cloneNode();
  const { a, b, c, d, e, f } = onSheet(drawing, line);
  copy.setAttribute("class", "band");
  copy.setAttribute("transform", `matrix(${[a, b, c, d, e, f].join(" ")})`);
  return copy;
}

function made(name, attributes, words = "") {
  const node = document.createElementNS(SVG, name);
  for (const [key, value] of Object.entries(attributes)) node.setAttribute(key, value);
  node.textContent = words;
  return node;
}

function frame({ x, y, width, height }) {
  return made("rect", { class: "frame-of", x: x - 1, y: y - 1, width: width + 2, height: height + 2, rx: 1 });
}

// A cause may lie here: its number in a box on the wire's end, or beside the device.
function suspect(drawing, marks, { kind, place, number }, tagged) {
  const spot = kind === "terminal" ? lineAt(drawing, place) : null;
  const groups = spot ? null : drawing.index.get(kind === "part" ? `part:${place}` : `device:${place.split(".")[0]}`);
  const [group] = groups ?? [];
  if (!spot && !group) return;
  const box = group ? boxOf(drawing, group) : null;
  const { x, y } = spot ? middleOf(drawing, spot) : { x: box.x + box.width, y: box.y };
  const key = `${Math.round(x)} ${Math.round(y)}`;
  const numbers = tagged.get(key) ?? new Set();
  if (numbers.has(number)) return;
  const left = x - 2 + 4.4 * numbers.size;
  numbers.add(number);
  tagged.set(key, numbers);
  if (group && numbers.size === 1) marks.append(frame(box));
  marks.append(made("rect", { class: number === 1 ? "suspect first" : "suspect", x: left, y: y - 2, width: 4, height: 4 }),
    made("text", { class: number === 1 ? "suspect-word first middle" : "suspect-word middle", x: left + 2, y: y + 1.1 }, number));
}

// From the coordinates of a group that is placed somewhere to those of the sheet.
function onSheet(drawing, node) {
  return drawing.node.getScreenCTM().inverse().multiply(node.getScreenCTM());
}

function placed(drawing, node, x, y) {
  return new DOMPoint(x, y).matrixTransform(onSheet(drawing, node));
}

function boxOf(drawing, group) {
  const box = group.getBBox();
  const one = placed(drawing, group, box.x, box.y);
  const other = placed(drawing, group, box.x + box.width, box.y + box.height);
  return { x: Math.min(one.x, other.x), y: Math.min(one.y, other.y), width: Math.abs(other.x - one.x), height: Math.abs(other.y - one.y) };
}

function middleOf(drawing, line) {
  const { x, y } = line.getPointAtLength(line.getTotalLength() / 2);
  return placed(drawing, line, x, y);
}

// A lead stands where its terminal is drawn, else anywhere on its wire.
function lineAt(drawing, terminal) {
  const tag = terminal.split(".")[0];
  const net = facts.panel.nets.find((one) => one.terminals.includes(terminal));
  const lines = [...(drawing.index.get(`net:${net?.id}`) ?? [])];
  const near = lines.find((group) => group.closest("[data-device]")?.dataset.device === tag && group.querySelector(".lead"));
  return (near ?? lines.find((group) => group.querySelector(".wire,.rail")))?.querySelector(".lead,.wire,.rail") ?? null;
}

function plug(drawing, marks, terminal, which, letter) {
  const line = terminal ? lineAt(drawing, terminal) : null;
  if (!line) return;
  const { x, y } = middleOf(drawing, line);
  const lift = which === "red" ? -2.6 : 2.6;
  marks.append(made("circle", { class: `plug-${which}`, cx: x, cy: y + lift, r: 2.2 }),
    made("text", { class: `plug-word-${which} middle`, x, y: y + lift + 1 }, letter));
}

// What lies at or near a point of the screen: {element, device, net}, nearest first; null where there is only paper.
export function at(x, y) {
  for (const reach of REACH_PX) {
    const tries = reach ? 12 : 1;
    for (let turn = 0; turn < tries; turn += 1) {
      const angle = (turn / tries) * 2 * Math.PI;
      const under = document.elementFromPoint(x + reach * Math.cos(angle), y + reach * Math.sin(angle));
      const found = under && paper.contains(under) ? ids(under) : null;
      if (found) return found;
    }
  }
  return null;
}

function ids(node) {
  const element = node.closest("[data-element]")?.dataset.element ?? "";
  const net = node.closest("[data-net]")?.dataset.net ?? "";
  const device = node.closest("[data-device]")?.dataset.device ?? (element ? element.split(".")[0] : "");
  const wire = node.closest("[data-wire]")?.dataset.wire ?? "";
  return element || net || device ? { element, net, device, wire } : null;
}
