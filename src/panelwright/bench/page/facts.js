// What the bench last told, and what this page itself has chosen. Modules read it; only bench.js writes answers into it.

export const facts = {
  up: false,
  panel: { name: "", title: "", files: [], controls: [], devices: [], nets: [], wires: [], parts: [] },
  edition: 0,
  problems: [],
  trials: [],
  proofs: { state: "", answers: [] },
  find: { state: "" },
  sheet: { state: "", kind: "cold" },
  results: { about: {}, entries: {}, failed: 0, unclear: 0, to_keep: 0, told: ["", ""], kept: {} },
  built: {},
  practice: { state: "", seed: 1, difficulty: "", symptom: "", readings: [], score: {} },
  drawnFrom: "",
  live: {},
  clock: { now: 0, running: false, next: null, at: 0 },
  story: [],
  moves: [],
  meter: { red: "", black: "", meter: "", ranges: [], reads: "volts", value: "", mind: "" },
  saved: true,
  when: "",
  told: null,
};

export const chosen = {
  verb: "try",
  finding: "find",
  look: "",
  sheet: 0,
  zoom: 1,
  net: "",
  device: "",
  wire: "",
  line: 0,
  kept: new Set(),
  span: 12,
};

// The look that is really shown: the chosen one, or what suits the width.
export function lookShown() {
  if (chosen.look) return chosen.look;
  return window.innerWidth < 600 ? "upright" : "rungs";
}

// The sheets of a long rung drawing, as [first line, last line]; other drawings have one.
export function sheets() {
  return ["rungs", "upright"].includes(lookShown()) ? facts.panel.sheets ?? [] : [];
}

// The drawing that is shown, as the bench calls it.
export function shown() {
  const count = Math.max(1, sheets().length);
  return { look: lookShown(), sheet: Math.min(chosen.sheet, count - 1) };
}

export function now() {
  const { clock } = facts;
  return clock.running ? clock.now + (performance.now() - clock.at) / 1000 : clock.now;
}

export function netOf(terminal) {
  return facts.panel.nets.find((net) => net.terminals.includes(terminal));
}

export function stateOf(tag) {
  return facts.live[`device:${tag}`] ?? [""];
}

// Takes one answer over; returns the names of what changed.
export function take(answer) {
  const changed = new Set(Object.keys(answer));
  if (answer.panel) facts.panel = { ...facts.panel, ...answer.panel };
  for (const key of ["problems", "trials", "proofs", "find", "practice", "sheet", "results", "built", "meter", "told", "edition", "drawnFrom", "saved", "when"]) {
    if (key in answer) facts[key] = answer[key];
  }
  if (answer.clock) facts.clock = { ...answer.clock, at: performance.now() };
  for (const [key, lines] of [["story", "lines"], ["moves", "moves"]]) {
    if (answer[key]) facts[key] = [...facts[key].slice(0, answer[key].from), ...answer[key][lines]];
  }
  for (const [key, value] of Object.entries(answer.live ?? {})) {
    if (value === null) delete facts.live[key];
    else facts.live[key] = value;
  }
  return changed;
}
