// Print: the drawing as it is shown now, at its true size, and the list of wires in order of work.

import { html, nothing, render } from "/page/vendor/lit.js";
import { facts } from "./facts.js";

export function printing() {
  return html`<section class="group"><h2>Print</h2>
    <p>The drawing that is shown, in its present state, in black on white and at its true size where the paper allows; after it the list of wires in order of work, to tick off.</p>
    <p class="act"><button class="strong" id="print" @click=${() => window.print()}>Print this sheet</button></p>
    <p class="hint">Thick conductors are live, thin ones at 0 V, hair lines have no feed. Nothing needs colour.</p>
    <p class="caution">A drawing is no permit to work. Isolate, lock, prove dead. Local codes and a licensed person decide.</p></section>`;
}

function wire({ id, number, ends, where, colour, size, core }) {
  return html`<tr><td class="tick">${facts.built[id]?.[0] ?? ""}</td><td><b>${number}</b></td><td>${ends[0]}</td><td>${ends[1]}</td><td>${where}</td>
    <td>${[colour, size, core].filter(Boolean).join(" ")}</td></tr>`;
}

// What only the paper shows; made when it is asked for.
export function layOutPaper() {
  const { wires, file } = facts.panel;
  render(html`<p class="state">${file}, ${new Date().toLocaleDateString("en-GB", { dateStyle: "long" })}. Drawn in this state: ${facts.says}.
      Thick: live. Thin: 0 V. Hair line: no feed. ${facts.saved ? nothing : html`<b>Not saved.</b>`}</p>
    ${wires.length ? html`<table><caption>Wires in order of work</caption><thead><tr><th scope="col">Done</th><th scope="col">No.</th>
      <th scope="col">From</th><th scope="col">To</th><th scope="col">Where</th><th scope="col">Kind</th></tr></thead>
      <tbody>${wires.map(wire)}</tbody></table>` : nothing}
    <p>Isolate, lock, prove dead before wiring. Local codes and a licensed person decide.</p>`, document.getElementById("on-paper"));
}
