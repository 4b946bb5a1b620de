// Print: the drawing as it is shown now, on paper, with its list of wires.

import { html } from "/page/vendor/lit.js";
import { facts } from "./facts.js";

export function printing() {
  return html`<section class="group"><h2>Print</h2>
    <p>The drawing that is shown, in the state that it is in now (${facts.says || "at rest"}), black on white, with the list of wires.</p>
    <p><button class="strong" id="print" @click=${() => window.print()}>Print this sheet</button></p>
    <p class="hint">Thick conductors are live, thin ones at 0 V, hair lines have no feed. Everything can be read without colour.</p>
    <p class="caution">A drawing is no permit to work. Isolate, lock, prove dead. Local codes and a licensed person decide.</p></section>`;
}
