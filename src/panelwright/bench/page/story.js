// What happened, told as it happens; newest first, so that it is read without scrolling.

import { html, nothing, repeat } from "/page/vendor/lit.js";
import { facts } from "./facts.js";

const SHOWN = 60;

export function seconds(time) {
  return time < 100 ? time.toFixed(2) : time.toFixed(1);
}

export function story(startAgain) {
  const from = Math.max(0, facts.story.length - SHOWN);
  const lines = facts.story.slice(from).map((line, index) => [from + index, ...line]).reverse();
  return html`<section class="group story"><div class="with-button"><h2>What happened</h2>
      <button @click=${startAgain}>Start again</button></div>
    ${lines.length ? html`<ol>${repeat(lines, (line) => line[0], ([, time, reason, follows, kind]) =>
      html`<li class=${kind}><time>${seconds(time)} s</time><div><b>${reason}</b>${follows.length
        ? html`<ul>${follows.map((one) => html`<li>${one}</li>`)}</ul>` : html`<p>nothing else changes</p>`}</div></li>`)}</ol>`
      : html`<p class="hint">Nothing yet. Press a button, on the drawing or here.</p>`}
    ${from ? html`<p class="hint">${from} earlier lines are not shown.</p>` : nothing}
  </section>`;
}

// The trials of the file, run anew whenever the text changes.
export function trials(goTo, play) {
  if (!facts.trials.length) return nothing;
  const failed = facts.trials.filter((one) => !one.passed).length;
  return html`<section class="group trials"><h2>Trials <small>${failed ? `${failed} of ${facts.trials.length} fail` : `all ${facts.trials.length} pass`}</small></h2>
    <ul>${facts.trials.map((one, index) => html`<li class=${one.passed ? "" : "warns"}>
      <button class="plain" @click=${() => goTo(one.line)}>${one.name}</button><span class="state">${one.passed ? "passes" : "fails"}</span>
      <button @click=${() => play(index)}>Play<span class="unseen"> ${one.name} on the bench</span></button>
      ${one.failures.length ? html`<ul>${one.failures.map((failure) => html`<li><button class="plain" @click=${() => goTo(failure.line)}>
        line ${failure.line}, at ${seconds(failure.now)} s: ${failure.message}</button>${failure.why ? html`<p class="hint">${failure.why}</p>` : nothing}</li>`)}</ul>` : nothing}
    </li>`)}</ul></section>`;
}
