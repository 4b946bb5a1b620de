// The page of the bench: takes answers over, shows what the chosen place of work needs.

import { html, nothing, render } from "/page/vendor/lit.js";
import * as drawing from "./drawing.js";
import { chooseLine, editHead, editThrough, goToLine, problems, sendKept, takeProblems, takeText } from "./edit.js";
import { chosen, facts, lookShown, sheets, shown, take } from "./facts.js";
import { finding, findMarks, findThrough } from "./find.js";
import { Link } from "./link.js";
import { measureThrough, meter, smallMeter, touched } from "./meter.js";
import { act, answers, controls, letAllGo, letGo, operateThrough, press } from "./operate.js";
import { practice, practiseThrough } from "./practise.js";
import { layOutPaper, printing } from "./print.js";
import { proofs } from "./prove.js";
import { story, trials } from "./story.js";
import { testing, testMarks, testThrough } from "./test.js";
import { timing } from "./timing.js";
import { wireList, wireThrough } from "./wires.js";

// Verb, its words, and the tail of them that a phone has no room for.
const VERBS = [["try", "Try"], ["measure", "Measure"], ["wire", "Wire"], ["prove", "Prove"], ["test", "Test"], ["find", "Find"], ["text", "Edit text", " text"], ["print", "Print"]];
const LOOKS = [["rungs", "Rungs"], ["upright", "Upright"], ["power", "Power"], ["connections", "Connections"], ["behind", "From behind"]];

const place = (id) => document.getElementById(id);
const name = decodeURIComponent(location.pathname.split("/").pop() || "");
const link = new Link(`${location.origin.replace("http", "ws")}/live/${encodeURIComponent(name)}`, answered, lineChanged);
const ask = (request) => link.ask(request);
operateThrough(ask);
measureThrough(ask);
editThrough(ask);
findThrough(ask);
practiseThrough(ask);
testThrough(ask);
wireThrough(ask);
drawing.markAlso(() => (chosen.verb === "test" ? testMarks() : findMarks()));

let drawn = false;

function answered(answer) {
  const changed = take(answer);
  if (answer.drawings) drawing.takeDrawings(answer.drawings);
  if (answer.live) drawing.takeLive(answer.live);
  if (answer.text) takeText(answer.text);
  if (changed.has("problems") || changed.has("edition") || answer.text) takeProblems();
  if (answer.meter || answer.find || answer.sheet) drawing.mark();
  if (answer.whole) sendKept();
  if (answer.panel) showDrawing();
  draw();
}

function lineChanged(up) {
  facts.up = up;
  if (up) showDrawing(true);
  else chosen.kept.clear();
  draw();
}

let asked = "";

function showDrawing(again = false) {
  const wanted = JSON.stringify(shown());
  if (wanted === asked && !again) return;
  asked = wanted;
  ask({ ask: "show", drawing: shown() });
}

// Draws the furniture; the drawing itself was already touched in place.
export function draw() {
  if (drawn) return;
  drawn = true;
  queueMicrotask(() => {
    drawn = false;
    head();
    verbs();
    sheetBar();
    notice();
    work();
    strip();
  });
}

function head() {
  const { panel } = facts;
  document.title = `${facts.saved ? "" : "* "}${panel.title || name} - Panelwright bench`;
  place("title").textContent = panel.title || name;
  facts.says = facts.live["says"]?.[0] ?? "";
  const says = facts.up ? facts.says : "The bench does not answer; trying again. What you type is kept here.";
  if (place("says").textContent !== says) place("says").textContent = says;
  document.body.dataset.up = facts.up;
  const power = (facts.live["power"] ?? ["on"])[0];
  render(html`
    ${panel.files.length > 1 ? html`<label class="files"><span class="unseen">Panel</span><select @change=${(event) => { location.pathname = `/panel/${encodeURIComponent(event.target.value)}`; }}>
      ${panel.files.map((one) => html`<option value=${one} ?selected=${one === panel.name}>${one}</option>`)}</select></label>` : nothing}
    ${facts.saved || chosen.verb === "text" ? nothing : html`<button id="head-save" @click=${() => ask({ ask: "save" })}>Save<span class="unseen"> the text</span></button>`}
    <button id="sheet-switch" @click=${turnSheet}>${isDark() ? "Light" : "Dark"}<span class="wide"> sheet</span></button>
    <button id="power" class=${power === "off" ? "" : "strong"} aria-pressed=${power !== "off"}
      @click=${() => act(power === "off" ? "power-on" : "power-off", [])}>Power ${power}</button>`, place("switches"));
}

function verbs() {
  document.body.dataset.verb = chosen.verb;
  render(html`${VERBS.map(([verb, word, tail = ""]) => html`<button data-go=${verb} aria-current=${chosen.verb === verb ? "page" : nothing}
    @click=${() => go(verb)}>${word.slice(0, word.length - tail.length)}${tail ? html`<span class="wide">${tail}</span>` : nothing}</button>`)}`, place("verbs"));
}

export function go(verb) {
  chosen.verb = verb;
  place("text-place").hidden = verb !== "text";
  draw();
  queueMicrotask(() => { drawing.show(); chooseLine(); });
}

function sheetBar() {
  const look_ = lookShown();
  const all = LOOKS.filter(([look]) => look !== "power" || facts.panel.has_power);
  const looks = window.innerWidth < 600
    ? html`<label><span class="unseen">Drawn as</span><select @change=${(event) => turnTo(event.target.value)}>${all.map(([look, word]) =>
      html`<option value=${look} ?selected=${look === look_}>${word}</option>`)}</select></label>`
    : html`<span class="looks" role="group" aria-label="Drawn as">${all.map(([look, word]) => html`<button data-look=${look}
      aria-pressed=${look === look_} @click=${() => turnTo(look)}>${word}</button>`)}</span>`;
  render(html`${looks}${sheetChoice()}
    <span class="zoom" role="group" aria-label="Size"><button aria-label="Smaller" @click=${() => zoom(1 / 1.25)}>&minus;</button>
      <button aria-label="Larger" @click=${() => zoom(1.25)}>+</button><button @click=${() => zoom(0)}>Whole</button></span>`, place("sheet-bar"));
}

// A long panel is shown in sheets; each is a stretch of its lines.
function sheetChoice() {
  const all = sheets();
  if (all.length < 2) return nothing;
  const { sheet } = shown();
  return html`<span class="sheets" role="group" aria-label="Lines"><button aria-label="Lines before" ?disabled=${sheet === 0}
      @click=${() => turnSheetTo(sheet - 1)}>&lt;</button><label><span class="unseen">Lines shown</span><select
      @change=${(event) => turnSheetTo(Number(event.target.value))}>${all.map(([first, last], index) =>
        html`<option value=${index} ?selected=${index === sheet}>lines ${first} to ${last}</option>`)}</select></label><button
      aria-label="Lines after" ?disabled=${sheet === all.length - 1} @click=${() => turnSheetTo(sheet + 1)}>&gt;</button></span>`;
}

function turnSheetTo(sheet) {
  chosen.sheet = sheet;
  showDrawing();
  drawing.show();
  draw();
}

function turnTo(look) {
  chosen.look = look;
  turnSheetTo(chosen.sheet);
}

// The first sight is as large as can be read; "Whole" shows all of it, however small.
function zoom(factor) {
  chosen.zoom = factor ? Math.min(4, Math.max(0.2, chosen.zoom * factor)) : drawing.wholeZoom();
  drawing.resize();
}

function notice() {
  const { told, drawnFrom } = facts;
  render(html`${drawnFrom ? html`<p class="drawn-from">${drawnFrom}</p>` : nothing}
    ${told ? html`<p class=${told[0]}><span>${told[1]}</span>
      ${told[0] === "clash" ? html`<button @click=${() => ask({ ask: "save", over: true })}>Save over it</button>
        <button @click=${() => ask({ ask: "take" })}>Take the file on disk</button>` : nothing}
      <button @click=${() => { facts.told = null; draw(); }}>Close</button></p>` : nothing}`, place("notice"));
}

function play(of, index) {
  ask({ ask: "play", of, index });
  if (chosen.verb !== "prove") place("work").scrollTo(0, 0);
}

function openLine(line) {
  go("text");
  queueMicrotask(() => goToLine(line));
}

const WORK = {
  try: () => html`${controls()}${smallMeter()}${answers()}${story(() => ask({ ask: "again" }))}${trials(openLine, (index) => play("trial", index))}`,
  measure: () => html`${meter(draw)}${controls()}`,
  wire: () => wireList(),
  test: () => testing(findCause),
  text: () => html`${editHead()}${problems()}`,
  prove: () => proofs({ ask, openLine, play: (index) => play("proof", index) }),
  find: () => findOrPractise(),
  print: () => printing(),
};

// What a test sheet gave goes on into the search for its cause.
function findCause() {
  ask({ ask: "find", results: true });
  chosen.finding = "find";
  go("find");
}

const FINDINGS = [["find", "On my panel"], ["practise", "Practise"]];

function findOrPractise() {
  const one = (which, word) => html`<button data-finding=${which} aria-pressed=${chosen.finding === which} @click=${() => {
    chosen.finding = which;
    drawing.mark();
    draw();
  }}>${word}</button>`;
  return html`<div class="positions tabs" role="group" aria-label="Where the fault is">${FINDINGS.map(([which, word]) => one(which, word))}</div>
    ${chosen.finding === "find" ? finding() : practice(() => html`${controls()}${answers()}${meter(draw)}`)}`;
}

function work() {
  place("work").setAttribute("aria-label", VERBS.find(([verb]) => verb === chosen.verb)[1]);
  render(WORK[chosen.verb](), place("work-live"));
}

function strip() {
  render(timing(draw, () => ask({ ask: "skip" })), place("strip"));
}

// Something was chosen in one view: it is marked in all of them.
chosen.pick = ({ net = "", device = "", wire = "" }, from = "") => {
  chosen.net = net;
  chosen.wire = wire;
  chosen.device = device;
  const line = from === "drawing" ? 0 : facts.panel.lines?.[device];
  const on = line ? sheets().findIndex(([first, last]) => first <= line && line <= last) : -1;
  if (on >= 0 && on !== shown().sheet) turnSheetTo(on);
  drawing.mark();
  if (from !== "text") chooseLine();
  draw();
  document.querySelector("tr.chosen")?.scrollIntoView({ block: "nearest" });
};

function isDark() {
  const theme = document.documentElement.dataset.theme;
  return theme ? theme === "dark" : matchMedia("(prefers-color-scheme: dark)").matches;
}

function turnSheet() {
  const theme = isDark() ? "light" : "dark";
  document.documentElement.dataset.theme = theme;
  try { localStorage.setItem("panelwright sheet", theme); } catch { /* only this page then */ }
  draw();
}

// A finger on the drawing operates what it lands on (Try), puts leads (Measure), or marks a wire (everywhere).
let onDrawing = "";

place("paper").addEventListener("pointerdown", (event) => {
  if (event.button !== 0) return;
  const found = drawing.at(event.clientX, event.clientY);
  if (!found) return;
  const control = facts.panel.controls.find((one) => one.tag === found.device);
  const practises = chosen.verb === "find" && chosen.finding === "practise";
  if (chosen.verb === "measure" || (practises && !(found.element && control))) {
    touched(found);
  } else if ((chosen.verb === "try" || practises) && found.element && control) {
    operate(control);
  }
  if (chosen.verb !== "measure" && !practises) chosen.pick(found.element ? { device: found.device } : found, "drawing");
});

function operate(control) {
  const [state] = facts.live[`device:${control.tag}`] ?? [""];
  if (control.sort === "push") {
    onDrawing = control.tag;
    press(control.tag);
  } else if (control.sort === "latched push") {
    act(state === "pressed" ? "release" : "press", [control.tag]);
  } else if (control.sort.endsWith("selector")) {
    const next = (control.positions.indexOf(state) + 1) % control.positions.length;
    act("turn", [control.tag], control.positions[next]);
  } else if (control.sort === "field") {
    act(state === "made" ? "clear" : "make", [control.tag]);
  } else if (control.sort === "trip") {
    act(state === "tripped" ? "reset" : "trip", [control.tag]);
  } else if (control.sort === "switch") {
    act(state === "on" ? "switch-off" : "switch-on", [control.tag]);
  }
}

for (const over of ["pointerup", "pointercancel"]) {
  window.addEventListener(over, () => {
    if (onDrawing) letGo(onDrawing);
    onDrawing = "";
  });
}
window.addEventListener("blur", letAllGo);
document.addEventListener("visibilitychange", () => { if (document.hidden) letAllGo(); });
window.addEventListener("beforeunload", letAllGo);
window.addEventListener("keydown", (event) => {
  if ((event.ctrlKey || event.metaKey) && event.key === "s") {
    event.preventDefault();
    ask({ ask: "save" });
  }
});

window.addEventListener("beforeprint", () => { layOutPaper(); drawing.toPaperSize(); });
window.addEventListener("afterprint", () => drawing.resize());

let width = window.innerWidth;
new ResizeObserver(([entry]) => {
  drawing.takeRoom(entry.contentRect);
  if ((width < 600) !== (window.innerWidth < 600)) {
    showDrawing();
    drawing.show(); // it may be here already, from before the phone was turned
  }
  width = window.innerWidth;
  draw();
}).observe(place("paper"));

// The strip grows only while time counts; at rest nothing is drawn again.
setInterval(() => {
  if (!facts.clock.running || document.hidden) return;
  strip();
  if (facts.clock.next !== null && chosen.verb === "try") work();
}, 100);

draw();
