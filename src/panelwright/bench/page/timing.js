// The timing diagram that grows: a line a device, high with its word while it is operated, thin while at rest.

import { html, nothing, svg } from "/page/vendor/lit.js";
import { chosen, facts, now } from "./facts.js";
import { seconds } from "./story.js";

const ROW = 26;
const LEFT = 64;
const RIGHT = 14;
const TOP = 6;
const WORD_PX = 7; // about the width of a letter; a word that does not fit is left out
const SPANS = [2, 12, 60, 600];

let stripWidth = 0; // measured when it changes, not each time: asking in the midst of a change costs a layout

new ResizeObserver(([entry]) => { stripWidth = entry.contentRect.width + 24; }).observe(document.getElementById("strip"));

// {tag: [[seconds, high, word], ...]} of the devices that changed, in the order of the story.
function lines() {
  const found = new Map();
  for (const [time, tag, high, word] of facts.moves) {
    if (!found.has(tag)) found.set(tag, []);
    found.get(tag).push([time, high, word]);
  }
  return found;
}

export function timing(draw, skip) {
  const width = Math.max(320, stripWidth - 24);
  const end = Math.max(now(), 0.001);
  const span = chosen.span;
  const start = Math.max(0, end - span);
  const x = (time) => LEFT + ((time - start) / span) * (width - LEFT - RIGHT);
  const rows = [...lines()].filter(([, steps]) => steps.at(-1)[0] > 0 && (steps.at(-1)[0] >= start || steps.at(-1)[1]));
  const height = TOP + rows.length * ROW + 22;
  const timed = facts.clock.next !== null && facts.clock.next !== undefined;
  return html`<div class="with-button"><h2>Timing <small>${seconds(end)} s${facts.clock.running ? "" : ", at rest"}</small></h2>
      ${timed ? html`<button @click=${skip}>Skip ahead <small>to ${seconds(facts.clock.next)} s</small></button>` : nothing}
      <label class="span">Shows <select @change=${(event) => { chosen.span = Number(event.target.value); draw(); }}>
        ${SPANS.map((one) => html`<option value=${one} ?selected=${one === span}>${one < 60 ? `${one} s` : `${one / 60} min`}</option>`)}
      </select></label></div>
    <div class="scroll" tabindex="0" role="region" aria-label="Timing diagram, told in words under What happened">
    ${rows.length ? svg`<svg class="timing" role="img" aria-label="Timing diagram of ${rows.map(([tag]) => tag).join(", ")}"
        width=${width} height=${height} viewBox="0 0 ${width} ${height}">
      ${ruler(start, span, x, height)}
      ${rows.map(([tag, steps], index) => line(tag, steps, TOP + index * ROW, { start, end, x }))}
    </svg>` : html`<p class="hint">A line for each device appears here once it moves.</p>`}</div>`;
}

function ruler(start, span, x, height) {
  const step = [0.5, 1, 2, 5, 10, 20, 60, 120].find((one) => span / one <= 8) ?? 120;
  const marks = [];
  for (let time = Math.ceil(start / step) * step; time <= start + span; time += step) marks.push(time);
  return marks.map((time) => svg`<line class="tick" x1=${x(time)} x2=${x(time)} y1=${TOP} y2=${height - 20}></line>
    <text class="tick-word" text-anchor="middle" x=${x(time)} y=${height - 5}>${Number(time.toFixed(1))} s</text>`);
}

function line(tag, steps, top, { start, end, x }) {
  const high = top + 4;
  const low = top + ROW - 5;
  return svg`<text class="row-tag" x="4" y=${low}>${tag}</text>${pieces(steps, start, end).map(({ from, to, up, word, opens, closes }) => {
    const [left, right] = [x(from), x(to)];
    if (!up) return svg`<path class="low" d="M${left} ${low}H${right}"></path>`;
    const fits = word.length * WORD_PX + 8 < right - left;
    return svg`<rect class="up" x=${left} y=${high} width=${Math.max(1, right - left)} height=${low - high}></rect>
      <path class="high" d="M${left} ${opens ? low : high}V${high}H${Math.max(right, left + 1)}${closes ? `V${low}` : ""}"></path>
      ${fits ? svg`<text class="up-word" x=${left + 5} y=${low - 4}>${word}</text>` : nothing}`;
  })}`;
}

// What of a line lies within the window; `opens` and `closes`: it rises and falls there, and does not merely go on.
function pieces(steps, start, end) {
  const found = [];
  const [first] = steps;
  if (first[0] > start) found.push({ from: start, to: first[0], up: !first[1], word: first[2], opens: false, closes: true });
  steps.forEach(([time, up, word], index) => {
    const next = steps[index + 1]?.[0];
    if ((next ?? end) < start) return;
    found.push({ from: Math.max(time, start), to: next ?? end, up, word, opens: time > start, closes: next !== undefined });
  });
  return found;
}
