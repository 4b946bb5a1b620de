// Wire: every wire with its number and its two ends; touch one and it is marked in the drawings too.

import { html, nothing, repeat } from "/page/vendor/lit.js";
import { chosen, facts } from "./facts.js";

function potential(net) {
  const [state, label] = facts.live[`net:${net}`] ?? ["dead", ""];
  if (state === "dead") return "no feed";
  return label || (state === "zero" ? "0 V" : "live");
}

export function wireList() {
  const { wires, nets, shortages } = facts.panel;
  const net = nets.find((one) => one.id === chosen.net);
  return html`<section class="group"><h2>Wires <small>${wires.length} to lay, in order of work</small></h2>
    ${net ? html`<p class="hint">Wire number ${net.number || net.id}, ${potential(net.id)}: joins ${net.terminals.join(", ")}.</p>` : nothing}
    ${(shortages ?? []).map((line) => html`<p class="warns">${line}</p>`)}
    <div class="scroll" tabindex="0" role="region" aria-label="List of wires"><table class="wires">
      <thead><tr><th scope="col">No.</th><th scope="col">From</th><th scope="col">To</th><th scope="col">Where</th><th scope="col">Now</th></tr></thead>
      <tbody>${repeat(wires, (one) => one.id, (one) => html`<tr class=${one.net === chosen.net ? "chosen" : ""} data-net=${one.net}
          @click=${() => chosen.pick({ net: one.net })}>
        <td><button class="plain" aria-pressed=${one.net === chosen.net}>${one.number}<span class="unseen">: mark this wire</span></button></td>
        <td>${one.ends[0]}</td><td>${one.ends[1]}</td><td>${one.where}</td><td>${potential(one.net)}</td></tr>`)}</tbody>
    </table></div></section>`;
}
