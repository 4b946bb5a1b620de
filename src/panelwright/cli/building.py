"""Commands for building: wire, changes, draw, sheets."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from .. import api
from ..circuit import Circuit
from ..telling import told_problems
from .answering import Answer, Code, CouldNot, files_argument, give, json_option
from .group import PDF, main, over, target, write
from .papers import Paper, papers
from .spreadsheet import Page, write_spreadsheet

if TYPE_CHECKING:
    from ..sheets import Drawing
    from ..wiring import Changes, Wiring


@main.command()
@files_argument
@click.option("--terminals", is_flag=True, help="Also what is on each terminal, device by device.")
@click.option("--xlsx", metavar="OUT", help="Also write a spreadsheet: a file, or a folder.")
@json_option
def wire(files: tuple[str, ...], terminals: bool, xlsx: str | None, as_json: bool) -> None:
    """List contacts, wire numbers and wires in order of work."""

    def wired(paper: Paper, circuit: Circuit) -> Answer:
        from ..wiring import as_json as values_of
        from ..wiring import report

        wiring = api.wire(circuit)
        code = Code.FOUND if wiring.shortages else Code.FINE
        text = report(wiring) + ("\nTERMINALS, with their wire numbers\n" + _terminals(wiring) if terminals else "")
        if xlsx:
            place = target(paper, xlsx, ".xlsx")
            write_spreadsheet(place, _spread_out(wiring))
            text += f"\nThe spreadsheet is {place}."
        return Answer(code, text, {"file": paper.name, **values_of(wiring)})

    over(files, as_json, "Wiring", wired)


def _spread_out(wiring: Wiring) -> Iterator[Page]:
    """Wires in order of work, what is on each terminal, strips."""
    from ..wiring import strip_plan, terminal_numbers

    yield Page(
        "Wires",
        ("no.", "wire", "from", "to", "label at from", "label at to", "size", "colour", "cable", "core", "stage"),
        [
            (count, w.number, *w.ends, *w.labels, w.size.text if w.size else "", w.colour, w.cable, w.core, w.stage)
            for count, w in enumerate(wiring.wires, 1)
        ],
        fixed=2,
    )
    numbers = terminal_numbers(wiring)
    terminals = [(device.tag, mark) for device in wiring.circuit.devices for mark in device.terminals]
    yield Page(
        "Terminals",
        ("device", "terminal", "wire"),
        [(tag, mark, numbers.get(f"{tag}.{mark}", "")) for tag, mark in terminals],
        fixed=2,
    )
    strips = [terminal for plan in strip_plan(wiring).values() for terminal in plan]
    if strips:
        rows = [(", ".join(t.inner), t.terminal, t.number, ", ".join(t.outer), ", ".join(t.cores)) for t in strips]
        yield Page("Strips", ("inner side", "terminal", "wire", "outer side", "cable and core"), rows)


def _terminals(wiring: Wiring) -> str:
    """A line for each device: terminal and wire number, in the order of the device."""
    from ..wiring import terminal_numbers

    numbers = terminal_numbers(wiring)
    lines = []
    for device in wiring.circuit.devices:
        landed = [(mark, numbers.get(f"{device.tag}.{mark}", "")) for mark in device.terminals]
        lines.append(f"  {device.tag:6} " + "   ".join(f"{mark}: {number or 'free'}" for mark, number in landed))
    return "\n".join(lines)


@main.command()
@click.argument("old")
@click.argument("new")
@json_option
def changes(old: str, new: str, as_json: bool) -> None:
    """List what to take out, move and put in.

    OLD is the panel file as built, NEW the one that it shall become. What is built stays where it can: contacts,
    wire numbers and wires.
    """
    found = api.changes(_circuit(old), _circuit(new))
    give(iter([_changed(found)]), as_json)


def _circuit(name: str) -> Circuit:
    """The circuit of one file. Raises: CouldNot."""
    paper, *others = papers([name])
    if others:
        raise CouldNot(f"there are {1 + len(others)} panel files in {name}; name one of them.")
    reading = api.read(paper.octets, paper.name)
    if not reading.ok:
        raise CouldNot(f"{told_problems(reading.problems, paper.name, paper.text)}\nMend the text first.")
    return reading.circuit


def _changed(found: Changes) -> Answer:
    from ..wiring import changes_report

    wire_of = {"take_out": found.take_out, "put_in": found.put_in}
    values: dict[str, Any] = {
        name: [{"number": wire.number, "ends": list(wire.ends)} for wire in wires] for name, wires in wire_of.items()
    }
    values["move"] = [
        {"number": m.wire.number, "stays": m.stays, "was": m.was, "becomes": m.becomes} for m in found.move
    ]
    values["relabel"] = [{"old": r.old, "new": r.new, "ends": list(r.ends)} for r in found.relabel]
    values["kept"] = found.kept
    return Answer(Code.FINE, changes_report(found), values)


PAPERS = ["A4", "A3", "A2", "A1", "A0", "letter", "tabloid", "ANSI C", "ANSI D"]
DRAWINGS = ["rungs", "power", "connections", "times"]


@main.command()
@files_argument
@click.option("--of", type=click.Choice(DRAWINGS), default="rungs", help="What to draw; rungs if not said.")
@click.option("--after", "steps", metavar="STEPS", help='In the state after steps such as "press S2"; else at rest.')
@click.option("--symbols", type=click.Choice(["IEC", "NA"]), help="Symbols; by default what the file says.")
@click.option("--upright/--level", default=None, help="Paths from top to bottom, or rungs from left to right.")
@click.option("--behind", is_flag=True, help="Connections as seen from behind.")
@click.option("--theme", type=click.Choice(["light", "dark", "print"]), default="light", help="Colours.")
@click.option("--out", "-o", metavar="PATH", help="File or folder to write to; - prints the drawing.")
@json_option
def draw(files: tuple[str, ...], out: str | None, as_json: bool, theme: str, **wishes: Any) -> None:
    """Draw rungs, power circuit, connections or a timing diagram.

    The file is SVG beside you, or what and where --out says: x.svg, x.pdf.
    """

    def drawn(paper: Paper, circuit: Circuit) -> Answer:
        drawing = _drawing(circuit, **wishes)
        svg = drawing.svg(theme, fonts=True)
        if out == "-":
            return Answer(Code.FINE, svg, {"file": paper.name, "svg": svg})
        of = wishes["of"]
        place = target(paper, out, ".svg" if of == "rungs" else f"-{of}.svg")
        write(place, api.pdf([drawing], theme) if place.suffix == PDF else svg)
        return Answer(Code.FINE, f"{paper.name}: drawn to {place}", {"file": paper.name, "drawing": str(place)})

    over(files, as_json, "Drawing", drawn)


def _drawing(circuit: Circuit, steps: str | None, **wishes: Any) -> Drawing:
    """The drawing wished for. Raises: CouldNot when steps cannot be read or there is nothing to draw."""
    run = None
    if steps is not None:
        read, problems = api.read_steps(steps, circuit)
        if problems:
            raise CouldNot(told_problems(problems, "--after", steps))
        run = api.work(circuit, read)[0]
    if wishes["of"] == "times":
        if run is None:
            raise CouldNot('a timing diagram needs steps; add for instance --after "press S2; wait 1 s"')
        return api.draw_course(run.trace, circuit.heading.title)
    try:
        return api.draw(circuit, state=run.state if run else None, **wishes)
    except ValueError as reason:
        raise CouldNot(f"{circuit.heading.title}: {reason}.") from reason


@main.command()
@files_argument
@click.option(
    "--paper",
    type=click.Choice(PAPERS),
    default=None,
    help="Smallest paper; if not said, A3, and A4 for drawings with room on it.",
)
@click.option("--out", "-o", metavar="PATH", help="PDF file or folder to write to.")
@json_option
def sheets(files: tuple[str, ...], paper: str | None, out: str | None, as_json: bool) -> None:
    """Make the printable pack as PDF: drawings with frame and title block, at true scale."""

    def packed(paper_file: Paper, circuit: Circuit) -> Answer:
        pack = api.sheet_pack(circuit, paper=paper or "", from_file=Path(paper_file.name).name)
        if not pack:
            raise CouldNot(f"{paper_file.name}: there is nothing to draw in it yet.")
        place = target(paper_file, out, PDF)
        write(place, api.pdf(pack))
        told = f"{paper_file.name}: {len(pack)} sheet{'s' * (len(pack) != 1)} in {place}"
        return Answer(Code.FINE, told, {"file": paper_file.name, "pack": str(place), "sheets": len(pack)})

    over(files, as_json, "Drawing", packed)
