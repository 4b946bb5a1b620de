// Test: a cold or live test sheet, filled in at the panel; each line is judged as it is entered.

import { html, nothing, repeat } from "/page/vendor/lit.js";
import { chosen, facts } from "./facts.js";

const KINDS = [["cold", "Cold test"], ["live", "Live test"]];
const STATES = {
  working: "Making the sheet ...",
  stale: "The text has changed since. Make the sheet again; what you entered stays with its lines.",
};
const HEAD = [["panel", "Panel no."], ["by", "Tested by"], ["meter", "Meter and its number"], ["date", "Date"]];

let ask = () => 0;

export function testThrough(asking) {
  ask = asking;
}

// Where the leads go for the line in hand.
export function testMarks() {
  const line = lineInHand();
  return { marks: [], red: line?.from ?? "", black: line?.to ?? "" };
}

function lineInHand() {
  return facts.sheet.parts?.flatMap((part) => part.lines).find(({ number }) => number === chosen.line);
}

function head() {
  const { about } = facts.results;
  const write = (event) => ask({ ask: "head", field: event.target.name, words: event.target.value });
  return html`<div class="sheet-head">${HEAD.map(([name, word]) => html`<label>${word}
    <input name=${name} .value=${about[name] ?? ""} autocomplete="off" @change=${write}></label>`)}</div>`;
}

function enter(number, result) {
  ask({ ask: "enter", number, result });
}

// On to the next line that is still open, as one goes down the sheet on paper.
function typed(event, line) {
  event.preventDefault();
  const field = event.target.querySelector("input");
  enter(line.number, field.value);
  const fields = [...document.querySelectorAll(".test-line input")];
  fields[fields.indexOf(field) + 1]?.focus();
}

function inHand(line) {
  if (chosen.line === line.number) return;
  chosen.line = line.number;
  const [tag] = line.from.split(".");
  chosen.pick({ device: tag });
}

const SAID = { passed: "passed", failed: "FAILED", "not understood": "not understood" };

function verdict(entry) {
  if (!entry) return nothing;
  return html`<span class="state"><b>${SAID[entry.verdict] ?? ""}</b>${entry.by ? html` <small>${entry.by}</small>` : nothing}${entry.kept
    ? html` <small>kept no. ${entry.kept}</small>` : nothing}</span>`;
}

function row(line) {
  const { number, unit, expect, mind } = line;
  const entry = facts.results.entries[number];
  const failed = entry && entry.verdict !== "passed";
  const reads = line.kind !== "tick" || expect;
  return html`<li class="test-line ${failed ? "warns" : ""} ${chosen.line === number ? "in-hand" : ""}" data-line=${number} @focusin=${() => inHand(line)}
      @click=${() => inHand(line)}>
    <p><b class="number">${number}</b> ${line.do}${expect ? html`<span class="must"> must be <b>${expect}</b></span>` : nothing}</p>
    ${mind ? html`<p class="hint">${mind}</p>` : nothing}
    <form class="value" @submit=${(event) => typed(event, line)}>
      ${reads ? html`<label><span class="unseen">Line ${number}, what you ${unit ? "read" : "saw"}</span><input autocomplete="off" size=${unit ? 7 : 14}
        placeholder=${unit || "what came"} .value=${entry?.result ?? ""} @focus=${(event) => event.target.select()} @change=${(event) => enter(number, event.target.value)}></label>` : nothing}
      <button type="button" aria-pressed=${entry?.result === "ok"} @click=${() => enter(number, entry?.result === "ok" ? "" : "ok")}>ok<span class="unseen">, line ${number}</span></button>
      <button type="button" aria-pressed=${entry?.result === "no"} @click=${() => enter(number, entry?.result === "no" ? "" : "no")}>no<span class="unseen">, line ${number}</span></button>
      ${verdict(entry)}</form></li>`;
}

function part({ title, words, lines }) {
  return html`<section class="sheet-part"><h3>${title}</h3>${words.map((line) => html`<p class="hint">${line}</p>`)}
    <ol>${repeat(lines, (line) => `${facts.sheet.kind} ${line.number}`, row)}</ol></section>`;
}

function standing() {
  const { entries, failed, unclear } = facts.results;
  const done = Object.keys(entries).length;
  const more = [failed ? `${failed} failed` : "", unclear ? `${unclear} not understood` : ""].filter(Boolean).join(", ");
  return html`<p role="status" class=${failed ? "warns" : ""}>${done} of ${facts.sheet.count} lines done${more ? `, ${more}` : ""}.</p>`;
}

function newSheet() {
  const { to_keep: open } = facts.results;
  if (open && !window.confirm(`${open} ${open === 1 ? "result is" : "results are"} not kept and would be gone. Clear the sheet?`)) return;
  ask({ ask: "new-sheet" });
}

function records(findCause) {
  const { to_keep: open, failed, told, kept } = facts.results;
  return html`<div class="pair">${failed ? html`<button @click=${findCause}>Look for the cause</button>` : nothing}
      <button class=${open ? "strong" : ""} ?disabled=${!open} @click=${() => ask({ ask: "keep" })}>Keep in the records</button>
      <button @click=${newSheet}>Clear, for another panel</button></div>
    ${told[1] ? html`<p class=${told[0] === "refused" ? "warns" : ""} role="alert">${told[1]}</p>` : nothing}
    <p class="hint">${kept.unreadable || (kept.count ? `${kept.count} ${kept.count === 1 ? "test" : "tests"} in the records; the last: ${kept.last}.`
      : "Nothing is in the records yet.")} Keep what failed before you mend it, so that it stays on record.</p>`;
}

function filled(findCause) {
  const { sheet } = facts;
  return html`<h2>${sheet.title}</h2>${sheet.cautions.map((words) => html`<p class="caution">${words}</p>`)}
    ${head()}${standing()}
    ${sheet.parts.map(part)}
    <h3>What this sheet proves</h3>${sheet.covers.map((words) => html`<p class="hint">${words}</p>`)}
    ${records(findCause)}`;
}

export function testing(findCause) {
  const { state, kind } = facts.sheet;
  const open = state === "open";
  return html`<section class="group testing" aria-busy=${state === "working"}>
    <div class="positions tabs" role="group" aria-label="Which sheet">${KINDS.map(([one, word]) => html`<button data-sheet=${one}
      aria-pressed=${state !== "" && kind === one} @click=${() => { chosen.line = 0; ask({ ask: "sheet", kind: one }); }}>${word}</button>`)}</div>
    ${state ? nothing : html`<p class="hint">Choose a sheet. Cold: power off, locked and proved dead; every wire, contact and coil. Live: after the cold one, for those who are trained, authorised and equipped.</p>`}
    ${open ? nothing : html`<p class="hint" role="status">${STATES[state] ?? state}</p>`}
    ${state === "stale" ? html`<p class="act"><button class="strong" @click=${() => ask({ ask: "sheet", kind })}>Make the sheet again</button></p>` : nothing}
    ${open ? filled(findCause) : nothing}</section>`;
}
