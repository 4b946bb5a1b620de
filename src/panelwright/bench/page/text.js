// Edit text: the file itself, with its problems marked as you type. Saved only when you say so.

import {
  autocompletion, basicSetup, Decoration, EditorState, EditorView, HighlightStyle, indentWithTab, keymap, lintGutter,
  setDiagnostics, StateEffect, StateField, StreamLanguage, syntaxHighlighting, tags, Transaction,
} from "/page/vendor/editor.js";
import { facts } from "./facts.js";

const SEVERITY = { mistake: "error", warning: "warning", told: "info" };
const HEADINGS = /^\s*(panel|places|supplies|supply|devices|rungs|power paths|cables|wires|sizing|notes|assumptions|promises|trial)\b/;

// Colour is never alone here: headings are bold, texts slanted, comments soft.
const panelLanguage = StreamLanguage.define({
  name: "panel",
  token(stream) {
    if (stream.sol() && stream.match(HEADINGS)) return "heading";
    if (stream.match(/^#( .*)?$/)) return "comment";
    if (stream.match(/^"([^"]|"")*"?/)) return "string";
    const name = stream.match(/^@?[A-Z0-9]*[A-Z][A-Za-z0-9]*/);
    if (name) {
      const known = name[0].startsWith("@") || facts.panel.devices.some((one) => one.tag === name[0]);
      if (known) stream.match(/^(\.[A-Za-z0-9+\-]+)+/);
      return known ? "name" : null;
    }
    if (stream.match(/^[0-9]+(\.[0-9]+)?/)) return "number";
    if (stream.match(/^[()|;,]/)) return "punctuation";
    stream.next();
    return null;
  },
});

const inks = HighlightStyle.define([
  { tag: tags.heading, fontWeight: "600", color: "var(--ink)" },
  { tag: tags.comment, color: "var(--soft)", fontStyle: "italic" },
  { tag: tags.string, color: "var(--soft)" },
  { tag: tags.name, fontWeight: "600", color: "var(--ink)" },
  { tag: tags.number, color: "var(--ink)" },
  { tag: tags.punctuation, color: "var(--accent)", fontWeight: "600" },
]);

const look = EditorView.theme({
  "&": { height: "100%", fontSize: "15px", color: "var(--ink)", backgroundColor: "var(--paper)" },
  "&.cm-focused": { outline: "none" },
  ".cm-scroller": { fontFamily: "ui-monospace, 'DejaVu Sans Mono', Menlo, Consolas, monospace", lineHeight: "1.5" },
  ".cm-content": { caretColor: "var(--accent)", paddingBlock: "8px" },
  ".cm-gutters": { backgroundColor: "var(--body)", color: "var(--soft)", borderRight: "1px solid var(--rule)" },
  ".cm-activeLine": { backgroundColor: "color-mix(in srgb, var(--wash) 45%, transparent)" },
  ".cm-activeLineGutter": { backgroundColor: "var(--wash)", color: "var(--ink)" },
  ".cm-cursor": { borderLeftColor: "var(--accent)", borderLeftWidth: "2px" },
  "&.cm-focused > .cm-scroller > .cm-selectionLayer .cm-selectionBackground, .cm-selectionBackground": { backgroundColor: "var(--wash) !important" },
  ".cm-panels, .cm-tooltip": { backgroundColor: "var(--paper)", color: "var(--ink)", border: "1px solid var(--ink)", fontFamily: "inherit" },
  ".cm-tooltip-autocomplete ul li[aria-selected]": { backgroundColor: "var(--ink)", color: "var(--paper)" },
  ".cm-lintRange-error": { backgroundImage: "none", borderBottom: "3px solid var(--accent)" },
  ".cm-lintRange-warning": { backgroundImage: "none", borderBottom: "3px dotted var(--accent)" },
  ".cm-lintRange-info": { backgroundImage: "none", borderBottom: "2px dotted var(--soft)" },
  ".cm-diagnostic": { whiteSpace: "pre-wrap", maxWidth: "46ch", borderLeftColor: "var(--accent)" },
  ".cm-lint-marker": { width: "14px", height: "auto" },
  ".cm-lint-marker-error, .cm-lint-marker-warning, .cm-lint-marker-info": { content: "normal" },
  ".cm-lint-marker::before": { color: "var(--accent)", fontWeight: "600" },
  ".cm-lint-marker-error::before": { content: "'!'" },
  ".cm-lint-marker-warning::before": { content: "'?'" },
  ".cm-lint-marker-info::before": { content: "'i'" },
  ".cm-chosen-line": { boxShadow: "inset 4px 0 0 var(--accent)" },
  ".cm-button, .cm-textfield": { fontSize: "15px", minHeight: "32px", backgroundImage: "none", backgroundColor: "var(--body)", color: "var(--ink)", border: "1px solid var(--soft)" },
});

const chooseLine = StateEffect.define();
const chosenLine = StateField.define({
  create: () => Decoration.none,
  update(marks, change) {
    let now = marks.map(change.changes);
    for (const effect of change.effects) {
      if (!effect.is(chooseLine)) continue;
      now = effect.value === null ? Decoration.none
        : Decoration.set([Decoration.line({ class: "cm-chosen-line" }).range(change.state.doc.line(effect.value).from)]);
    }
    return now;
  },
  provide: (field) => EditorView.decorations.from(field),
});

// Tags and parts of this panel, offered while typing a name.
function offers(context) {
  const word = context.matchBefore(/[A-Z0-9@][A-Za-z0-9.]*/);
  if (!word || (word.from === word.to && !context.explicit)) return null;
  const options = facts.panel.devices.map(({ tag, kind, text }) => ({ label: tag, detail: [kind, text].filter(Boolean).join(", ") }));
  return { from: word.from, options, validFor: /^[A-Za-z0-9.]*$/ };
}

export class TextEditor {
  // `send(text, edition)` for each change; `save()` on Ctrl+S; `moved(line)` when the cursor changes its line.
  constructor(parent, { send, save, moved }) {
    this.send = send;
    this.edition = 0;
    this.opened = false;
    this.line = 0;
    this.moved = moved;
    const root = parent.attachShadow({ mode: "open" });
    const holder = document.createElement("div");
    const sheet = new CSSStyleSheet();
    sheet.replaceSync(":host{display:block;min-height:0} div.holder{height:100%}");
    root.adoptedStyleSheets = [sheet];
    holder.className = "holder";
    root.append(holder);
    this.view = new EditorView({ parent: holder, root, state: this.stateOf("", save) });
    new ResizeObserver(() => {
      if (this.view.hasFocus) this.view.dispatch({ effects: EditorView.scrollIntoView(this.view.state.selection.main.head) });
    }).observe(holder);
  }

  stateOf(text, save) {
    return EditorState.create({
      doc: text,
      extensions: [
        keymap.of([{ key: "Mod-s", preventDefault: true, run: () => { save(); return true; } }]),
        basicSetup,
        keymap.of([indentWithTab]),
        panelLanguage, syntaxHighlighting(inks), look, lintGutter(), chosenLine,
        autocompletion({ override: [offers], activateOnTyping: true }),
        EditorState.tabSize.of(2),
        window.innerWidth < 600 ? EditorView.lineWrapping : [],
        EditorView.contentAttributes.of({ tabindex: "0", "aria-label": "Text of the panel file. Escape, then Tab, leaves it." }),
        EditorView.updateListener.of((update) => this.updated(update)),
      ],
    });
  }

  get text() {
    return this.view.state.doc.toString();
  }

  updated(update) {
    const line = update.state.doc.lineAt(update.state.selection.main.head).number;
    if (line !== this.line) {
      this.line = line;
      if (update.selectionSet && !update.transactions.some((one) => one.annotation(Transaction.remote))) this.moved(line);
    }
    if (!update.docChanged || update.transactions.some((one) => one.annotation(Transaction.remote))) return;
    this.edition += 1;
    this.send(this.text, this.edition); // at once: the bench then works while the browser lays out the line
  }

  // Another text from the bench: the file as opened, or as somebody else left it.
  replace(text, edition) {
    this.edition = edition;
    if (text === this.text) return;
    const annotations = [Transaction.remote.of(true)];
    if (!this.opened) annotations.push(Transaction.addToHistory.of(false)); // undoing never empties the file
    this.opened = true;
    this.view.dispatch({ changes: { from: 0, to: this.view.state.doc.length, insert: text }, annotations });
  }

  // Does what a key does ("Mod-z", "Mod-y"), for those who have no keyboard.
  does(key) {
    this.view.state.facet(keymap).flat().find((one) => one.key === key)?.run(this.view);
    this.view.focus();
  }

  mark(problems) {
    const { doc } = this.view.state;
    const marks = problems.filter((one) => one.span).map((one) => {
      const line = doc.line(Math.min(one.span.line, doc.lines));
      const from = Math.min(line.from + one.span.column - 1, line.to);
      const to = Math.min(Math.max(from + one.span.length, from + 1), line.to);
      return { from: to > from ? from : Math.max(line.from, from - 1), to, severity: SEVERITY[one.severity], source: one.code,
        message: [one.message, one.why && `why: ${one.why}`, one.mend && `mend: ${one.mend}`].filter(Boolean).join("\n") };
    });
    this.view.dispatch(setDiagnostics(this.view.state, marks));
  }

  // Marks the line of what was chosen elsewhere and brings it into view.
  choose(line) {
    const known = line && line <= this.view.state.doc.lines;
    const effects = [chooseLine.of(known ? line : null)];
    if (known) effects.push(EditorView.scrollIntoView(this.view.state.doc.line(line).from, { y: "center" }));
    this.view.dispatch({ effects });
  }

  goTo(line, column) {
    const place = this.view.state.doc.line(Math.min(line, this.view.state.doc.lines));
    const at = Math.min(place.from + column - 1, place.to);
    this.view.dispatch({ selection: { anchor: at }, effects: EditorView.scrollIntoView(at, { y: "center" }) });
    this.view.focus();
  }
}
