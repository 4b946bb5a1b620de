// The place of work "Edit text": the editor, its problems, and saving on purpose.

import { html, nothing } from "/page/vendor/lit.js";
import { chosen, facts } from "./facts.js";
import { TextEditor } from "./text.js";

const KEPT = "panelwright typed "; // text typed while the bench could not be reached

let editor = null;
let ask = () => 0;

export function editThrough(asking) {
  ask = asking;
  editor = new TextEditor(document.getElementById("text-place"), {
    send,
    save,
    moved: (line) => {
      const device = facts.panel.devices.find((one) => one.line === line);
      if (device) chosen.pick({ device: device.tag }, "text");
    },
  });
  return editor;
}

function send(text, edition) {
  if (ask({ ask: "edit", text, edition })) return;
  try { localStorage.setItem(KEPT + facts.panel.name, text); } catch { /* the text still stands in the editor */ }
}

// After a break: what was typed meanwhile goes to the bench; returns whether there was anything.
export function sendKept() {
  let text = null;
  try { text = localStorage.getItem(KEPT + facts.panel.name); } catch { /* nothing could be kept */ }
  if (text === null) return false;
  localStorage.removeItem(KEPT + facts.panel.name);
  if (text === editor.text && facts.saved) return false;
  editor.edition += 1;
  editor.replace(text, editor.edition);
  ask({ ask: "edit", text, edition: editor.edition });
  return true;
}

export function save() {
  ask({ ask: "save" });
}

export function takeText({ text, edition }) {
  editor.replace(text, edition);
}

export function takeProblems() {
  if (facts.edition === editor.edition) editor.mark(facts.problems);
}

export function chooseLine() {
  if (chosen.verb !== "text") return;
  editor.choose(facts.panel.devices.find((one) => one.tag === chosen.device)?.line ?? 0);
}

export function goToLine(line) {
  editor.goTo(line, 1);
}

const WORDS = { mistake: "mistake", warning: "warning", told: "to know" };

export function editHead() {
  const mistakes = facts.problems.filter((one) => one.severity === "mistake").length;
  return html`<div class="with-button edit-head"><h2>${facts.panel.file || "Text"} <small>${facts.saved ? "saved" : "not saved"}</small></h2>
      <span class="count">${mistakes ? `${mistakes} ${mistakes === 1 ? "mistake" : "mistakes"}` : "no mistakes"}</span>
      <button @click=${() => editor.does("Mod-z")}>Undo</button><button @click=${() => editor.does("Mod-y")}>Redo</button>
      <button id="save" class="strong" ?disabled=${facts.saved} @click=${save}>Save</button>
      <button ?disabled=${facts.saved} @click=${() => ask({ ask: "take" })}>Back to file</button></div>`;
}

export function problems() {
  // Always there and always as high, so that the line under the cursor does not jump with every key.
  return html`<section class="group problems" aria-label="Problems" tabindex="0">${facts.problems.length ? nothing
    : html`<p class="hint">Nothing wrong in it.</p>`}<ol>${facts.problems.map((one) => html`<li class=${one.severity}>
    <button class="plain" @click=${() => editor.goTo(one.span?.line ?? 1, one.span?.column ?? 1)}><b>${one.span ? `line ${one.span.line}` : "whole file"}</b>
      ${WORDS[one.severity]}: ${one.message}</button>
    ${one.why ? html`<p>why: ${one.why}</p>` : nothing}${one.mend ? html`<p>mend: ${one.mend}</p>` : nothing}</li>`)}</ol></section>`;
}
