// Try: the buttons, selectors, field contacts, trips and switches of the panel, under mouse, finger or keyboard.

import { html, nothing, repeat } from "/page/vendor/lit.js";
import { chosen, facts, now, stateOf } from "./facts.js";

const TAP_MS = 300; // how long a press lasts that a screen reader makes by a click

let ask = () => 0;
const held = new Set(); // what this page holds down just now

export function operateThrough(asking) {
  ask = asking;
}

export function act(verb, targets, value = "") {
  return ask({ ask: "act", verb, targets, value });
}

export function press(tag) {
  if (held.has(tag) || chosen.kept.has(tag)) return;
  held.add(tag);
  act("press", [tag]);
}

export function letGo(tag) {
  if (!held.delete(tag)) return;
  const { sort, start } = facts.panel.controls.find((one) => one.tag === tag) ?? {};
  if (sort === "spring selector") act("turn", [tag], start);
  else act("release", [tag]);
}

export function letAllGo() {
  for (const tag of [...held]) letGo(tag);
}

function keep(tag) {
  if (chosen.kept.delete(tag)) {
    act("release", [tag]);
  } else {
    chosen.kept.add(tag);
    if (!held.delete(tag)) act("press", [tag]);
  }
}

// Press as long as the finger is down, wherever it wanders to.
function pressed(event, tag) {
  if (event.button !== 0) return;
  event.currentTarget.setPointerCapture(event.pointerId);
  press(tag);
}

function keyDown(event, tag) {
  if (event.key !== " " && event.key !== "Enter") return;
  event.preventDefault(); // else the key would click as well
  if (!event.repeat) press(tag);
}

function keyUp(event, tag) {
  if (event.key === " " || event.key === "Enter") letGo(tag);
}

// A click without a pointer and without a key comes from a screen reader or a voice: a short press.
function clicked(event, tag) {
  if (event.detail !== 0 || held.has(tag)) return;
  press(tag);
  setTimeout(() => letGo(tag), TAP_MS);
}

function pushButton({ tag, text, colour }) {
  const [state] = stateOf(tag);
  const down = state === "pressed";
  const kept = chosen.kept.has(tag);
  return html`<li class="push ${down ? "is-down" : ""}">
    <button class="round" data-control=${tag} aria-pressed=${down} aria-label=${said(tag, text, colour)}
      @pointerdown=${(event) => pressed(event, tag)} @pointerup=${() => letGo(tag)}
      @pointercancel=${() => letGo(tag)} @lostpointercapture=${() => letGo(tag)}
      @keydown=${(event) => keyDown(event, tag)} @keyup=${(event) => keyUp(event, tag)} @blur=${() => letGo(tag)}
      @click=${(event) => clicked(event, tag)} @contextmenu=${(event) => event.preventDefault()}>
      <span class="cap">${down ? "in" : ""}</span>
    </button>
    <span class="names"><b>${tag}</b> ${text}${colour ? html` <i>${colour}</i>` : nothing}</span>
    <button class="keep" aria-pressed=${kept} @click=${() => keep(tag)}
      aria-label=${kept ? `Let ${tag} go` : `Keep ${tag} pressed`}>${kept ? "let go" : "keep"}</button>
  </li>`;
}

function said(tag, text, colour) {
  return `${[tag, text].filter(Boolean).join(" ")}${colour ? `, ${colour}` : ""}: press and hold`;
}

function latchedPush({ tag, text, colour }) {
  const down = stateOf(tag)[0] === "pressed";
  return row(tag, text, colour, down ? "pushed in" : "out", down,
    html`<button data-control=${tag} @click=${() => act(down ? "release" : "press", [tag])}>
      ${down ? "Pull out" : "Push in"}<span class="unseen"> ${tag} ${text}</span></button>`);
}

// A position that springs back holds only as long as the finger is on it.
function springs(tag, one, start) {
  const back = () => { if (held.delete(tag)) act("turn", [tag], start); };
  const over = () => { if (!held.has(tag)) { held.add(tag); act("turn", [tag], one); } };
  return {
    down: (event) => { if (event.button === 0) { event.currentTarget.setPointerCapture(event.pointerId); over(); } },
    keyDown: (event) => { if ((event.key === " " || event.key === "Enter") && !event.repeat) { event.preventDefault(); over(); } },
    click: (event) => { if (event.detail === 0 && !held.has(tag)) { over(); setTimeout(back, TAP_MS); } },
    back,
  };
}

function position(tag, one, start, is, holds) {
  const named = html`${one}${holds ? html`<span class="unseen">, springs back to ${start}: hold</span>` : nothing}`;
  if (!holds) {
    return html`<button data-control=${tag} data-value=${one} aria-pressed=${is} @click=${() => act("turn", [tag], one)}>${named}</button>`;
  }
  const hand = springs(tag, one, start);
  return html`<button data-control=${tag} data-value=${one} aria-pressed=${is} @pointerdown=${hand.down} @pointerup=${hand.back}
    @pointercancel=${hand.back} @lostpointercapture=${hand.back} @keydown=${hand.keyDown} @keyup=${hand.back} @blur=${hand.back}
    @click=${hand.click}>${named}</button>`;
}

function selector({ tag, text, positions, sort, start }) {
  const [at] = stateOf(tag);
  return html`<li class="choice"><fieldset><legend><b>${tag}</b> ${text}</legend><div class="positions">${positions.map((one) =>
    position(tag, one, start, one === at, sort === "spring selector" && one !== start))}</div></fieldset></li>`;
}

const TWO_WAYS = {
  field: { on: "made", off: "clear", does: ["make", "clear"], words: ["Make", "Clear"] },
  trip: { on: "tripped", off: "reset", does: ["trip", "reset"], words: ["Trip", "Reset"] },
  switch: { on: "on", off: "off", does: ["switch-on", "switch-off"], words: ["Switch on", "Switch off"] },
};

function twoWays({ tag, text, colour, sort }) {
  const way = TWO_WAYS[sort];
  const is = stateOf(tag)[0] === way.on;
  return row(tag, text, colour, is ? way.on : way.off, is !== (sort === "switch"),
    html`<button data-control=${tag} @click=${() => act(way.does[is ? 1 : 0], [tag])}>
      ${way.words[is ? 1 : 0]}<span class="unseen"> ${tag} ${text}</span></button>`);
}

// `moved`: not as it usually stands; said in bold, too.
function row(tag, text, colour, state, moved, button) {
  return html`<li class="row ${moved ? "is-off-rest" : ""}" data-row=${tag}><span class="names"><b>${tag}</b> ${text}${colour ? html` <i>${colour}</i>` : nothing}</span>
    <span class="state">${state}</span>${button}</li>`;
}

const GROUPS = [
  ["Press and hold", (one) => one.sort === "push", pushButton, "pushes"],
  ["Push in, pull out", (one) => one.sort === "latched push", latchedPush, "rows"],
  ["Turn", (one) => one.sort.endsWith("selector"), selector, "rows"],
  ["In the field", (one) => one.sort === "field", twoWays, "rows"],
  ["Overloads", (one) => one.sort === "trip", twoWays, "rows"],
  ["Switches", (one) => one.sort === "switch", twoWays, "rows"],
];

export function controls() {
  const all = facts.panel.controls;
  return html`${GROUPS.map(([title, fits, draw, look]) => {
    const these = all.filter(fits);
    if (!these.length) return nothing;
    return html`<section class="group"><h2>${title}</h2><ul class=${look}>${repeat(these, (one) => one.tag, draw)}</ul></section>`;
  })}${suppliesGroup()}`;
}

// With one supply the switch in the head line is enough.
function suppliesGroup() {
  const supplies = facts.panel.supplies ?? [];
  if (supplies.length < 2) return nothing;
  return html`<section class="group"><h2>Supplies</h2><ul class="rows">${supplies.map(({ tag, text }) => {
    const is = stateOf(tag)[0] !== "off";
    return row(tag, text, "", is ? "on" : "off", !is,
      html`<button @click=${() => act(is ? "power-off" : "power-on", [tag])}>
        ${is ? "Cut" : "Restore"}<span class="unseen"> power at ${tag}</span></button>`);
  })}</ul></section>`;
}

// What is left of a set time that runs.
function left(tag) {
  const due = facts.clock.due?.[tag];
  return due === undefined ? nothing : html` <small>${Math.max(0, due - now()).toFixed(1)} s left</small>`;
}

// The devices that answer: what each is doing, in words.
export function answers() {
  const these = facts.panel.devices.filter((one) => one.answers);
  if (!these.length) return nothing;
  return html`<section class="group"><h2>What it does</h2><ul class="answers">${repeat(these, (one) => one.tag, ({ tag, text }) => {
    const [state, extra, busy] = stateOf(tag);
    return html`<li class=${busy ? "busy" : ""}><button class="plain" @click=${() => chosen.pick({ device: tag })}><b>${tag}</b> ${text}</button>
      <span class="state">${state}${extra ? html` <small>${extra}</small>` : nothing}${left(tag)}</span></li>`;
  })}</ul></section>`;
}
