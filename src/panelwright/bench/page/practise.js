// Practise: a fault is hidden in the panel on the bench; the learner works it, measures it, and says where it is.

import { html, nothing } from "/page/vendor/lit.js";
import { facts } from "./facts.js";

const DIFFICULTIES = [["", "any"], ["easy", "easy"], ["middle", "middle"], ["hard", "hard"]];
const STATES = { hiding: "Hiding a fault ...", judging: "Looking at how you went about it ..." };

let ask = () => 0;

export function practiseThrough(asking) {
  ask = asking;
}

function hide(event) {
  event.preventDefault();
  const { seed, difficulty } = event.target.elements;
  ask({ ask: "hide", seed: Math.max(1, Math.round(Number(seed.value) || 1)), difficulty: difficulty.value });
}

function guess(event) {
  event.preventDefault();
  const { at } = event.target.elements;
  if (at.value) ask({ ask: "guess", at: at.value });
}

function task({ seed, difficulty, state }) {
  return html`<form class="task" @submit=${hide}>
    <label>Task no. <input name="seed" inputmode="numeric" size="5" .value=${String(state === "judged" ? seed + 1 : seed)} autocomplete="off"></label>
    <label>how hard <select name="difficulty">${DIFFICULTIES.map(([value, word]) => html`<option value=${value} ?selected=${value === difficulty}>${word}</option>`)}</select></label>
    <button class="strong" ?disabled=${state === "hiding"}>Hide a fault</button></form>`;
}

function readings(taken) {
  return html`<h3>Your readings <small>${taken.length}</small></h3>${taken.length
    ? html`<ol class="readings">${taken.map(({ words, text }) => html`<li><span>${words}</span> <b>${text}</b></li>`)}</ol>`
    : html`<p class="hint">Work the panel and put the leads where you would. Every reading counts, the same one once.</p>`}`;
}

function places() {
  return html`<select name="at" aria-label="The fault is at"><option value="">choose</option>${facts.panel.terminals?.filter(([tag]) => tag !== "earth").map(([tag, marks]) =>
    html`<optgroup label=${tag}><option value=${tag}>${tag}</option>${marks.map((mark) => html`<option value=${mark}>${mark}</option>`)}</optgroup>`)}</select>`;
}

function score({ right, points, tests, best, live, cause, mend, way, guess: said }) {
  return html`<section class="verdict"><h3>${right ? "Right" : said ? "No" : "This it was"}</h3>
    <p><b>${cause}.</b> Mend: ${mend}.</p>
    <p>${right ? `${points} of 100 points: ` : ""}${tests} ${tests === 1 ? "reading" : "readings"}, ${live} of them live; the best way takes ${best}.</p>
    <details><summary>The best way</summary><ol class="readings">${way.map((line) => html`<li>${line}</li>`)}</ol></details>
    <p class="hint">The fault is still in the panel, and the drawing shows now what it does. Leave takes it out.</p></section>`;
}

// `parts`: the controls and the meter of the bench, the same as in Try and Measure.
export function practice(parts) {
  const view = facts.practice;
  const on = view.state === "on" || view.state === "judging";
  const idle = !on && view.state !== "judged";
  return html`<section class="group practise"><div class="with-button"><h2>Practise</h2>${idle ? nothing
      : html`<button @click=${() => ask({ ask: "leave" })}>Leave</button>`}</div>
    ${on ? nothing : task(view)}
    <p class="hint" role="status">${STATES[view.state] ?? (idle ? view.state : "")}</p>
    ${idle && !view.state ? html`<p class="hint">A fault is hidden in the panel. You see what eyes see, work what hands work, and read what the meter reads; the fewer readings, the better.</p>` : nothing}
    ${view.symptom && !idle ? html`<p class="symptom">${view.symptom}</p>` : nothing}
    ${view.state === "judged" ? score(view.score) : nothing}
    ${on ? html`${readings(view.readings)}<form class="pair" @submit=${guess}>${places()}<button class="strong" ?disabled=${view.state !== "on"}>The fault is here</button>
      <button type="button" @click=${() => ask({ ask: "guess", at: "" })}>Give up</button></form>` : nothing}
  </section>${idle ? nothing : parts()}`;
}
