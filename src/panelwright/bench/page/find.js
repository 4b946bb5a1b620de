// Find: the search for a fault of a real panel. What is seen and read goes in; what is left shrinks, here and on the drawing.

import { html, live, nothing } from "/page/vendor/lit.js";
import { chosen, facts } from "./facts.js";

let ask = () => 0;

export function findThrough(asking) {
  ask = asking;
}

// What the drawing marks while Find is open: where causes lie, and where the leads go next.
export function findMarks() {
  if (chosen.verb !== "find" || chosen.finding !== "find" || facts.find.state !== "ready") return { marks: [], red: "", black: "" };
  const [first] = facts.find.next ?? [];
  return { marks: facts.find.marks ?? [], red: first?.from ?? "", black: first?.to ?? "" };
}

const STATES = { thinking: "Working it out ...", stale: "The text has changed since. Start again." };

function tell(event) {
  event.preventDefault();
  const field = event.target.querySelector("input");
  if (!field.value.trim()) return;
  ask({ ask: "tell", words: field.value });
  field.value = "";
}

function answered(index, outcome, value = null) {
  ask({ ask: "found", index, outcome, value });
}

function typed(event, index, unit) {
  event.preventDefault();
  const field = event.target.querySelector("input");
  const value = Number(field.value.replace(",", "."));
  if (!field.value.trim() || Number.isNaN(value)) return;
  answered(index, `${value} ${unit}`, value);
  field.value = "";
}

function known(view) {
  if (!view.known.length && !view.changed.length) return nothing;
  return html`<h3>Known</h3><ul class="rows">${view.changed.map((words) => html`<li class="row"><span class="names">${words}</span></li>`)}
    ${view.known.map((words, index) => html`<li class="row"><span class="names">${words}</span>
      <button @click=${() => ask({ ask: "without", index })}>Take back<span class="unseen">: ${words}</span></button></li>`)}</ul>`;
}

function test(one, index) {
  return html`<li class="test"><p>${one.do}</p>
    <div class="outcomes">${one.outcomes.map((outcome) => html`<button @click=${() => answered(index, outcome.word)}>
      <b>${outcome.word}</b> <small>${outcome.percent} %</small></button>`)}
      ${one.others.map((word) => html`<button @click=${() => answered(index, word)}>${word}</button>`)}</div>
    ${one.unit ? html`<form class="value" @submit=${(event) => typed(event, index, one.unit)}><label>or type the ${{ V: "volts", ohm: "ohms", A: "amps" }[one.unit]}
      <input inputmode="decimal" autocomplete="off" size="7"></label><button>Enter<span class="unseen"> the reading</span></button></form>` : nothing}
    <details><summary>What each would mean</summary><ul>${one.outcomes.map(({ word, causes, more }) => html`<li><b>${word}</b>: ${causes.join("; ")}${more
      ? `; ${more} more` : ""}</li>`)}</ul></details></li>`;
}

function causes(view) {
  if (!view.known.length) return nothing;
  const first = view.groups[0]?.percent || 1;
  return html`<h3>What may be wrong</h3>
    ${view.as_drawn ? html`<p class="why">The sound panel does just this: as drawn, or nothing is wrong in what was said.</p>` : nothing}
    ${view.explained ? nothing : html`<p class="why">No single cause explains all of this. Look again at: ${view.doubtful.join("; ")}.</p>`}
    <ol class="causes">${view.groups.map((group, index) => html`<li><button class="plain" @click=${() => chosen.pick({ device: group.devices[0] ?? "" })}>
      <span class="rank">${index + 1}</span><span>${group.members.map((words, at) => html`${at ? html`<br>or ` : nothing}${words}`)}${group.more
        ? html`<br>or ${group.more} more` : nothing}</span></button>
      <span class="share"><meter min="0" max=${first} .value=${group.percent} aria-label="how likely"></meter>${group.percent} %</span></li>`)}</ol>
    ${view.more ? html`<p class="hint">${view.more} less likely</p>` : nothing}`;
}

function verdict({ mend, proof, after }) {
  return html`<section class="verdict"><h3>Mend</h3><p><b>${mend}.</b></p>
    ${proof.length ? html`<h3>Proof</h3><ul>${proof.map((line) => html`<li>${line}</li>`)}</ul>` : nothing}
    <h3>After the repair</h3><ul>${after.map((line) => html`<li>${line}</li>`)}</ul></section>`;
}

// The first questions that somebody who finds faults asks.
function supposed(view) {
  return html`<div class="pair"><label><span class="unseen">Which meter</span><select @change=${(event) => ask({ ask: "suppose", meter: event.target.value })}>
      ${facts.panel.meters?.map(([name, says]) => html`<option value=${name} ?selected=${name === view.meter}>${says}</option>`)}</select></label></div>
    <label class="yes-no"><input type="checkbox" .checked=${live(view.new)} @change=${(event) => ask({ ask: "suppose", new: event.target.checked })}>
      just wired or altered</label>
    <label class="yes-no"><input type="checkbox" .checked=${live(!view.live)} @change=${(event) => ask({ ask: "suppose", live: !event.target.checked })}>
      only with the power off</label>`;
}

export function finding() {
  const view = facts.find;
  const open = view.state === "ready" || view.state === "thinking";
  if (!view.known) {
    return html`<section class="group find"><h2>Find a fault</h2>
      <p class="hint">For a real panel that does not do what it should. Say what you see, then read what is asked for.</p>
      <p class="hint" role="status">${STATES[view.state] ?? view.state}</p>
      <button class="strong" ?disabled=${open} @click=${() => ask({ ask: "find" })}>Begin</button>
      <p class="caution">Live readings are for those who are trained, authorised and equipped; local rules come first.</p></section>`;
  }
  return html`<section class="group find" aria-busy=${view.state === "thinking"}><div class="with-button"><h2>Find a fault</h2>
      <button @click=${() => ask({ ask: "find" })}>Begin again</button></div>
    <p class="hint" role="status">${STATES[view.state] ?? (open ? "" : view.state)}</p>
    <form class="tell" @submit=${tell}><label for="symptom">${view.known.length ? "Something else that you see or read" : "What is wrong?"}</label>
      <div class="pair"><input id="symptom" autocomplete="off" placeholder="K1 does not pull in"><button class="strong">Say it</button></div></form>
    ${view.refused ? html`<p class="warns" role="alert">${view.refused}</p>` : nothing}
    ${view.known.length ? nothing : supposed(view)}
    ${view.settled ? verdict(view.verdict) : nothing}
    ${view.next.length ? html`<h3>Next</h3><ol class="tests">${view.next.slice(0, 1).map(test)}</ol>
      ${view.next.length > 1 ? html`<details><summary>Another test instead</summary><ol class="tests">${view.next.slice(1).map((one, index) => test(one, index + 1))}</ol></details>` : nothing}` : nothing}
    ${causes(view)}${known(view)}${view.known.length ? supposed(view) : nothing}
    <p class="hint">Numbers on the drawing are where these causes lie; R and B are where the leads go next. What is live there is the sound panel on the bench, not yours.</p>
    ${view.dangers.map((danger) => html`<p class="caution">${danger}</p>`)}
    ${view.cautions.map((words) => html`<p class="caution">${words}</p>`)}</section>`;
}
