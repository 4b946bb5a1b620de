// Wire: every wire with its number and its two ends; touch one and it is marked in the drawings too.

import { html, live, nothing, repeat } from "/page/vendor/lit.js";
import { chosen, facts } from "./facts.js";

const TICKS = [["laid", "Laid"], ["checked", "Checked"]];

let ask = () => 0;

export function wireThrough(asking) {
  ask = asking;
}

function potential(net) {
  const [state, label] = facts.live[`net:${net}`] ?? ["dead", ""];
  if (state === "dead") return "no feed";
  return label || (state === "zero" ? "0 V" : "live");
}

function isChosen({ id, net }) {
  return chosen.wire ? id === chosen.wire : net === chosen.net;
}

const kind = ({ colour, size, core }) => [colour, size, core].filter(Boolean).join(" ");

const isDone = (id, which) => Boolean(facts.built[id]?.[which]);

const mark = (one) => chosen.pick({ net: one.net, wire: one.id });

function tick(event, one, what) {
  event.stopPropagation();
  ask({ ask: "tick", wire: one.id, what, on: event.target.checked });
}

// Ticked as one goes along the panel; who ticked is said by his initials, if the head of a test sheet has them.
function ticks(one) {
  return TICKS.map(([what, word], index) => html`<td class="tick"><label><input type="checkbox" .checked=${live(isDone(one.id, index))}
    aria-label="${word}: wire ${one.number} from ${one.ends[0]} to ${one.ends[1]}" @click=${(event) => tick(event, one, what)}></label></td>`);
}

function row(one, withKind) {
  return html`<tr class="${isChosen(one) ? "chosen" : ""} ${isDone(one.id, 0) ? "done" : ""}" data-net=${one.net} data-wire=${one.id}
      @click=${() => mark(one)}>
    ${ticks(one)}
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

// How far the real panel is, and the wire to lay next.
function progress(wires) {
  const laid = wires.filter(({ id }) => isDone(id, 0)).length;
  const checked = wires.filter(({ id }) => isDone(id, 1)).length;
  const next = wires.find(({ id }) => !isDone(id, 0)) ?? wires.find(({ id }) => !isDone(id, 1));
  return html`<p role="status">${laid} of ${wires.length} laid, ${checked} checked.${next ? ` Next: ${next.number}, ${next.ends.join(" to ")}.` : ""}</p>
    <div class="pair">${next ? html`<button id="next-wire" class="strong" @click=${() => mark(next)}>Next wire</button>` : nothing}
      ${laid || checked ? html`<button @click=${untick}>Begin again</button>` : nothing}</div>`;
}

function untick() {
  if (window.confirm("Take all ticks away, for another panel?")) ask({ ask: "untick" });
}

export function wireList() {
  const { wires, nets, shortages } = facts.panel;
  const net = nets.find((one) => one.id === chosen.net);
  const withKind = wires.some(kind);
  return html`<section class="group"><h2>Wires <small>${wires.length}, in order of work</small></h2>
    <p class="hint">${net ? `Wire number ${net.number || net.id}, now ${potential(net.id)}: joins ${net.terminals.join(", ")}.`
      : "Touch a wire here or on the drawing to find it in both."}</p>
    ${wires.length ? progress(wires) : nothing}
    ${(shortages ?? []).map((line) => html`<p class="warns">${line}</p>`)}
    <div class="scroll" tabindex="0" role="region" aria-label="List of wires"><table class="wires">
      <thead><tr><th scope="col">Laid</th><th scope="col">Ch.</th><th scope="col">No.</th><th scope="col">From</th><th scope="col">To</th>${withKind ? html`<th scope="col">Kind</th>` : nothing}<th scope="col">Now</th></tr></thead>
      ${stages(wires).map(({ stage, wires: these }) => html`<tbody><tr class="stage"><th colspan="7" scope="rowgroup">${stage}</th></tr>
        ${repeat(these, (one) => one.id, (one) => row(one, withKind))}</tbody>`)}
    </table></div>
    <p class="caution">Wire with the supply isolated, locked and proved dead.</p></section>`;
}
