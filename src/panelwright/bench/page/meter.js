// Measure: two leads anywhere, read in volts or ohms.

import { html, live, nothing } from "/page/vendor/lit.js";
import { facts, netOf } from "./facts.js";

let ask = () => 0;
let turn = "red"; // the lead that the next touch of the drawing puts down

export function measureThrough(asking) {
  ask = asking;
}

export function lead(which, at) {
  ask({ ask: "lead", which, at });
}

// A touch of the drawing: on a device both leads go across it, on a wire one lead goes there.
export function touched(found) {
  const part = facts.panel.parts.find((one) => one.id === found.element);
  if (part) {
    lead("red", part.a);
    lead("black", part.b);
    turn = "red";
    return;
  }
  const net = facts.panel.nets.find((one) => one.id === found.net);
  if (!net) return;
  lead(turn, net.terminals[0]);
  turn = turn === "red" ? "black" : "red";
}

function where(terminal) {
  if (!terminal) return "not placed";
  const net = netOf(terminal);
  return net ? `wire ${net.number || net.id}` : terminal === "earth" ? "earth" : "no wire";
}

function place(which, draw) {
  const at = facts.meter[which];
  return html`<label class="lead ${which} ${turn === which ? "next" : ""}"><span class="plug" aria-hidden="true">${which === "red" ? "R" : "B"}</span>
      <span>${which} lead</span>
      <select id="lead-${which}" .value=${live(at)} @change=${(event) => lead(which, event.target.value)} @focus=${() => { turn = which; draw(); }}>
        <option value="">not placed</option>
        ${facts.panel.terminals?.map(([device, marks]) => html`<optgroup label=${device}>${marks.map((mark) =>
          html`<option value=${mark} ?selected=${mark === at}>${mark}</option>`)}</optgroup>`)}
      </select><small>${where(at)}</small></label>`;
}

export function meter(draw) {
  const { reads, value, mind, ranges } = facts.meter;
  return html`<section class="group meter"><h2>Meter</h2>
    <label class="which"><span class="unseen">Which meter</span><select @change=${(event) => ask({ ask: "meter", name: event.target.value })}>
      ${facts.panel.meters?.map(([name, says]) => html`<option value=${name} ?selected=${name === facts.meter.meter}>${says}</option>`)}</select></label>
    <div class="dial"><div class="positions" role="group" aria-label="The meter reads">
      ${["volts", "ohms"].map((what) => html`<button aria-pressed=${what === reads} ?disabled=${!ranges?.includes(what)}
        @click=${() => ask({ ask: "reads", what })}>${what}</button>`)}
    </div><output id="reading" aria-live="polite">${value || "- - -"}</output></div>
    <p class="hint why" id="reading-words">${mind}</p>
    ${place("red", draw)}${place("black", draw)}
    <div class="pair"><button @click=${() => { const { red, black } = facts.meter; lead("red", black); lead("black", red); }}>Exchange leads</button>
      <button @click=${() => { lead("red", ""); lead("black", ""); }}>Leads off</button></div>
    <p class="hint">Touch a wire to put the next lead on it (now ${turn}), or a contact, coil or lamp to measure across it.</p>
    <p class="caution">On a real panel: live readings only by those authorised and equipped; prove the meter before and after.</p>
  </section>`;
}

export function smallMeter() {
  const { red, black, value, mind } = facts.meter;
  if (!red && !black) return nothing;
  return html`<section class="group meter small"><h2>Meter</h2><div class="dial"><span>red <b>${red || "off"}</b><br>black <b>${black || "off"}</b></span>
    <output>${value || "- - -"}</output></div>${mind ? html`<p class="hint">${mind}</p>` : nothing}</section>`;
}
