"""Commands that break the circuit: faults."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from itertools import groupby
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from .. import api
from ..circuit import Circuit, Sentence
from .answering import Answer, Code, CouldNot, files_argument, json_option
from .group import PDF, main, over, target, write
from .papers import Paper
from .spreadsheet import Page, write_spreadsheet

if TYPE_CHECKING:
    from ..faults.effects import Cell, Column, Effect, EffectTable
    from ..faults.pairs import Pairs
    from ..sheets.fault_table import FaultRow

SIGNS = {"kept": ".", "broken": "X", "not decided": "?", "not asked": "-"}
CLASSES = {
    "dangerous": "a motion that should be stopped can run, or a stop does not stop",
    "hidden": "no promise breaks and a walk through the panel shows nothing, until a second fault",
    "not decided": "some promise could be neither proved nor broken",
    "safe": "it stops, will not start, or only a light is wrong",
    "shown": "no promise breaks, and the operator sees it",
    "harmless": "the panel does the same in every position",
}
SAID = "Each cell: the promise with this one fault present, over every state that can be reached."
SCOPE = (
    "One fault at a time, in the drawn circuit; no performance level is claimed. Have it checked by a licensed person."
)


@main.command()
@files_argument
@click.option("--pairs", is_flag=True, help="Also second faults that become dangerous while a first one hides.")
@click.option("--only", type=click.Choice(list(CLASSES)), help="Print the faults of one class.")
@click.option("--cores", type=click.IntRange(0), default=0, help="Processes; as many as there are cores if not said.")
@click.option("--over", "over_address", metavar="ADDRESS", default="", help="Use the workers of a dask scheduler.")
@click.option("--seconds", type=click.FloatRange(0.1), default=3.0, help="At most for one promise with one fault.")
@click.option("--out", "-o", metavar="PATH", help="Also the table as pages to print: PDF file or folder.")
@click.option("--paper", type=click.Choice(["A4", "letter"]), default="A4", show_default=True, help="Paper of the PDF.")
@click.option("--svg", metavar="OUT", help="Also draw the table: a file, or a folder.")
@click.option("--xlsx", metavar="OUT", help="Also write a spreadsheet: a file, or a folder.")
@json_option
def faults(files: tuple[str, ...], as_json: bool, **options: Any) -> None:
    """List every single fault and what it does to every promise, the most dangerous first."""
    over(files, as_json, "Breaking", lambda paper, circuit: _answer(paper, circuit, options))


def _answer(paper: Paper, circuit: Circuit, options: dict[str, Any]) -> Answer:
    table = _table(circuit, options)
    pairs = _pairs(circuit, table, options["seconds"]) if options["pairs"] else None
    written = [*_printed(paper, table, options), *_drawn(paper, table, options["svg"])]
    written += _spread_out(paper, table, options["xlsx"])
    promised = list(_promised(table))
    lines = [*_told(table, options["only"]), *([""] if promised else []), *promised, *_pairs_told(pairs)]
    lines += ["", *_counted(table, paper.name), *written, SCOPE]
    return Answer(_code(table), "\n".join(lines), _values(paper, table, pairs))


def _table(circuit: Circuit, options: dict[str, Any]) -> EffectTable:
    cores, over_address = options["cores"], options["over_address"]
    progress = _progress if sys.stderr.isatty() else None
    try:
        return api.fault_effects(circuit, seconds=options["seconds"], cores=cores, over=over_address, progress=progress)
    except ImportError as missing:
        raise CouldNot(f'--over needs dask.distributed ({missing}): pip install "panelwright[campaign]".') from missing
    except (OSError, TimeoutError) as nobody:
        raise CouldNot(f"no scheduler answers at {over_address}: start one, or leave --over out.") from nobody


def _progress(done: int, count: int) -> None:
    print(f"\r{done} of {count} faults ", end="\n" if done == count else "", file=sys.stderr, flush=True)


def _pairs(circuit: Circuit, table: EffectTable, seconds: float) -> Pairs:
    from ..faults.pairs import dangerous_pairs

    return dangerous_pairs(api.wire(circuit), table.effects, seconds)


def _code(table: EffectTable) -> Code:
    return Code.FOUND if table.count("dangerous") else Code.NOT_DECIDED if table.count("not decided") else Code.FINE


# ---- text
def _told(table: EffectTable, only: str | None) -> Iterator[str]:
    """The promises by letter, then one line a fault, grouped by class."""
    for letter, column in zip(_letters(table), table.columns, strict=True):
        without = "" if column.asked else "  (not asked: not proved even without a fault)"
        yield f"{letter}  {column.promise.text}{without}"
    width = max((len(effect.fault.words) for effect in table.effects), default=0)
    for danger, meaning in CLASSES.items():
        found = [effect for effect in table.effects if effect.danger == danger]
        if not found or only not in (None, danger):
            continue
        yield ""
        yield f"{danger}: {meaning}"
        yield f"  {'':{width}}  {''.join(_letters(table))}"
        for effect in found:
            signs = "".join(SIGNS[cell.outcome] for cell in effect.cells)
            yield f"  {effect.fault.words:{width}}  {signs}  {_seen(effect)}".rstrip()


def _letters(table: EffectTable) -> list[str]:
    alphabet = "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ"
    return [alphabet[index % len(alphabet)] for index in range(len(table.columns))]


def _seen(effect: Effect) -> str:
    if effect.glimpse is not None:
        return effect.glimpse.text
    return "nothing shows it" if effect.danger in ("dangerous", "safe") else ""


def _promised(table: EffectTable) -> Iterator[str]:
    """What the file promises with faults that it names, and even with one fault."""
    from ..faults.effects import cells_of

    for proof in table.named:
        yield f"{_outcome(proof.promise, proof.outcome)}: {proof.promise.text}"
    for promise in table.circuit.promises:
        asked = cells_of(table, promise)
        against = [effect.fault.words for effect, cell in asked if cell.outcome == "broken"]
        open_ = sum(cell.outcome in ("not decided", "not asked") for _, cell in asked)
        if against:
            words = ", ".join(against[:3]) + (" ..." if len(against) > 3 else "")
            broken = f"{_outcome(promise, 'broken')}, by {len(against)} of {len(asked)} faults ({words})"
            yield f"{broken}: {promise.text}"
        elif asked:
            left = f" ({open_} of {len(asked)} faults left open)" if open_ else ""
            yield f"{'not decided' if open_ else 'kept'}{left}: {promise.text}"


def _outcome(promise: Sentence, outcome: str) -> str:
    if outcome == "broken":
        return "broken, as the file says" if promise.not_kept else "BROKEN"
    return outcome


def _pairs_told(pairs: Pairs | None) -> Iterator[str]:
    """Grouped by the fault that hides."""
    if pairs is None:
        return
    yield ""
    yield f"{len(pairs.found)} second faults become dangerous while a first one hides:"
    for hidden, group in groupby(pairs.found, key=lambda pair: pair.hidden.words):
        yield f"  {hidden}, then"
        for pair in group:
            yield f"    {pair.second.words}: {'; '.join(pair.broken)}"
    apart = f", {pairs.apart} that no promise depends on together" if pairs.apart else ""
    left_out = f", {pairs.left_out} more were not looked at" if pairs.left_out else ""
    yield f"{pairs.looked} pairs were looked at{apart}{left_out}; second faults only of kinds that let current flow."


def _counted(table: EffectTable, name: str) -> Iterator[str]:
    counts = ", ".join(f"{table.count(danger)} {danger}" for danger in CLASSES if table.count(danger))  # type: ignore[arg-type]
    yield f"{len(table.effects)} single faults in {name}: {counts}."


# ---- JSON, drawing, spreadsheet
def _values(paper: Paper, table: EffectTable, pairs: Pairs | None) -> dict[str, Any]:
    values: dict[str, Any] = {
        "file": paper.name,
        "promises": [{"text": c.promise.text, "weight": c.weight, "asked": c.asked} for c in table.columns],
        "named": [{"text": p.promise.text, "outcome": p.outcome} for p in table.named],
        "faults": [_effect_values(effect, table.columns) for effect in table.effects],
    }
    if pairs is not None:
        values["pairs"] = [
            {"hidden": p.hidden.words, "second": p.second.words, "broken": list(p.broken)} for p in pairs.found
        ]
        values["pairs_looked_at"], values["pairs_left_out"] = pairs.looked, pairs.left_out
    return values


def _effect_values(effect: Effect, columns: tuple[Column, ...]) -> dict[str, Any]:
    fault = effect.fault
    return {
        "id": fault.id,
        "kind": fault.kind,
        "fault": fault.words,
        "device": fault.device,
        "annex_d": fault.about.annex,
        "class": effect.danger,
        "seen": effect.glimpse.text if effect.glimpse else None,
        "promises": {c.promise.text: _cell_values(one) for c, one in zip(columns, effect.cells, strict=True)},
    }


def _cell_values(cell: Cell) -> dict[str, Any]:
    values: dict[str, Any] = {"outcome": cell.outcome}
    if cell.story:
        values["story"] = list(cell.story)
    return values | {name: value for name, value in (("trial", cell.trial), ("why", cell.why)) if value}


def _drawn(paper: Paper, table: EffectTable, out: str | None) -> Iterator[str]:
    if not out:
        return
    from ..sheets.fault_table import fault_table

    drawing = fault_table([c.promise.text for c in table.columns], _rows(table), said=SAID)
    path = target(paper, out, ".faults.svg" if Path(out).suffix != ".svg" else ".svg")
    write(path, drawing.svg("print", fonts=True))
    yield f"The table is drawn in {path}."


def _printed(paper: Paper, table: EffectTable, options: dict[str, Any]) -> Iterator[str]:
    if not options["out"]:
        return
    from ..sheets.pack import fault_sheets_of

    pages = fault_sheets_of(
        api.wire(table.circuit),
        [column.promise.text for column in table.columns],
        _rows(table),
        said=SAID,
        paper=options["paper"],
        from_file=Path(paper.name).name,
    )
    path = target(paper, options["out"], f"-faults{PDF}")
    write(path, api.pdf(pages))
    yield f"{len(pages)} page{'s' * (len(pages) != 1)} in {path}"


def _rows(table: EffectTable) -> list[FaultRow]:
    """The dangerous ones first, then device by device."""
    from ..sheets.fault_table import FaultRow

    effects = sorted(table.effects, key=lambda e: (e.danger != "dangerous", e.fault.device))
    return [
        FaultRow(
            effect.fault.device or "wiring",
            effect.fault.words.removeprefix(f"{effect.fault.device}.").removeprefix(effect.fault.device).strip(),
            tuple(_shape(c, one, effect) for c, one in zip(table.columns, effect.cells, strict=True)),  # type: ignore[misc]
            effect.verdict,
            effect.danger == "dangerous",
        )
        for effect in effects
    ]


def _shape(column: Column, cell: Cell, effect: Effect) -> str:
    if cell.outcome != "broken":
        return "kept" if cell.outcome == "kept" else "undecided"
    if column.weight == "stop":
        return "unsafe" if effect.glimpse else "hidden"
    return "light" if column.weight == "light" else "stops"


def _spread_out(paper: Paper, table: EffectTable, out: str | None) -> Iterator[str]:
    if not out:
        return
    path = target(paper, out, ".xlsx")
    heads = ("fault", "kind", "ISO 13849-2 annex D", "class", "what is seen")
    faults = [
        (fault.words, fault.about.title, fault.about.annex, effect.verdict, _seen(effect),
         *(cell.outcome for cell in effect.cells))
        for effect in table.effects for fault in (effect.fault,)
    ]  # fmt: skip
    columns = tuple(column.promise.text for column in table.columns)
    reasons = [
        (effect.fault.words, column.promise.text, cell.outcome, " ".join(cell.story) or cell.why, cell.trial)
        for effect in table.effects
        for column, cell in zip(table.columns, effect.cells, strict=True)
        if cell.outcome in ("broken", "not decided")
    ]
    pages = [Page("Faults", (*heads, *columns), faults)]
    heads = ("fault", "promise", "outcome", "how it breaks, or why it is open", "trial that fails")
    pages.append(Page("How and why", heads, reasons))
    write_spreadsheet(path, pages)
    yield f"The spreadsheet is {path}."
