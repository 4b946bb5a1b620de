// Prove: every promise over every state, with the shortest way to break it.

import { html, nothing } from "/page/vendor/lit.js";
import { facts } from "./facts.js";

const STATES = {
  "": "Not proved yet.",
  running: "Proving; each promise gets up to 20 s.",
  done: "All answered:",
  stopped: "Stopped; the rest is not decided.",
  stale: "The text has changed since. Prove again.",
};

function answer(one, index, { play, openLine }) {
  const { text, outcome, as_promised: asPromised, story, reason, notes, line } = one;
  const word = outcome === "broken" && asPromised ? "broken, as the file says" : outcome;
  return html`<li class=${asPromised === false ? "warns" : ""}><div class="with-button">
      <button class="plain" ?disabled=${!line} @click=${() => openLine(line)}>${text}</button><span class="state"><b>${word}</b></span></div>
    ${reason ? html`<p class="hint">${reason}</p>` : nothing}
    ${story.length ? html`<ol>${story.map((words) => html`<li>${words}</li>`)}</ol>` : nothing}
    ${notes.map((words) => html`<p class="hint">${words}</p>`)}
    ${one.can_be_tried ? html`<button @click=${() => play(index)}>Try it on the bench<span class="unseen">: ${text}</span></button>` : nothing}</li>`;
}

export function proofs({ ask, play, openLine }) {
  const { state, answers } = facts.proofs;
  const [first] = answers;
  const running = state === "running";
  return html`<section class="group proofs"><div class="with-button"><h2>Promises</h2>
      <button class=${running ? "" : "strong"} @click=${() => ask({ ask: running ? "stop" : "prove" })}>${running ? "Stop" : "Prove"}</button></div>
    <p class="hint" role="status">${STATES[state] ?? state} ${answers.length ? `${answers.length} ${answers.length === 1 ? "promise" : "promises"}.` : ""}</p>
    <ul class="answers-to">${answers.map((one, index) => answer(one, index, { play, openLine }))}</ul>
    ${first ? html`<p class="hint">Model of time: ${first.model}. ${first.assumed.length ? `Assumed: ${first.assumed.join("; ")}.` : ""}</p>` : nothing}
    <p class="caution">A proof is about the drawn circuit, not about your panel. It is no certified safety function; no performance level is claimed.</p></section>`;
}
