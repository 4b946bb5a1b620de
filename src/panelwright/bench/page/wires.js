// Wire: every wire with its number and its two ends; touch one and it is marked in the drawings too.

import { html, nothing, repeat } from "/page/vendor/lit.js";
import { chosen, facts } from "./facts.js";

function potential(net) {
  const [state, label] = facts.live[`net:${net}`] ?? ["dead", ""];
  if (state === "dead") return "no feed";
  return label || (state === "zero" ? "0 V" : "live");
}

function isChosen({ id, net }) {
  return chosen.wire ? id === chosen.wire : net === chosen.net;
}

const kind = ({ colour, size }) => [colour, size].filter(Boolean).join(" ");

function row(one, withKind) {
  return html`<tr class=${isChosen(one) ? "chosen" : ""} data-net=${one.net} data-wire=${one.id}
      @click=${() => chosen.pick({ net: one.net, wire: one.id })}>
    <td><button class="plain" aria-pressed=${isChosen(one)}>${one.number}<span class="unseen">: mark this wire</span></button></td>
    <td>${one.ends[0]}</td><td>${one.ends[1]}</td>${withKind ? html`<td>${kind(one)}</td>` : nothing}<td>${potential(one.net)}</td></tr>`;
}

// In order of work: a heading for each stage, under it its wires.
function stages(wires) {
  const found = [];
  for (const one of wires) {
    if (found.at(-1)?.stage !== one.stage) found.push({ stage: one.stage, wires: [] });
    found.at(-1).wires.push(one);
  }
  return found;
}

export function wireList() {
  const { wires, nets, shortages } = facts.panel;
  const net = nets.find((one) => one.id === chosen.net);
  const withKind = wires.some(kind);
  return html`<section class="group"><h2>Wires <small>${wires.length}, in order of work</small></h2>
    <p class="hint">${net ? `Wire number ${net.number || net.id}, now ${potential(net.id)}: joins ${net.terminals.join(", ")}.`
      : "Touch a wire here or on the drawing to find it in both."}</p>
    ${(shortages ?? []).map((line) => html`<p class="warns">${line}</p>`)}
    <div class="scroll" tabindex="0" role="region" aria-label="List of wires"><table class="wires">
      <thead><tr><th scope="col">No.</th><th scope="col">From</th><th scope="col">To</th>${withKind ? html`<th scope="col">Kind</th>` : nothing}<th scope="col">Now</th></tr></thead>
      ${stages(wires).map(({ stage, wires: these }) => html`<tbody><tr class="stage"><th colspan="5" scope="rowgroup">${stage}</th></tr>
        ${repeat(these, (one) => one.id, (one) => row(one, withKind))}</tbody>`)}
    </table></div>
    <p class="caution">Wire with the supply isolated, locked and proved dead.</p></section>`;
}
