"""From text to everything that the bench shows of it. Pure, so that it can be done beside the event loop."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from typing import TypeVar

from ..circuit import Circuit, Device, Heading, PowerPath, Problem, Rung, with_nets_of
from ..electrics import Network
from ..language import read
from ..sheets import Drawing, connection_drawing, power_drawing
from ..sheets.rungs import Stretch, rung_drawing, rung_stretches
from ..wiring import Wiring, wire
from .live import Board
from .protocol import Look, Shown

MOST_LINES = 30  # of a rung drawing on one sheet of the page

Worded = TypeVar("Worded", Device, Rung, PowerPath)
Drawn = tuple[str, tuple[str, ...]]  # opening tag, pieces
NOTHING_DRAWN: Drawn = ("<svg>", ())


@dataclass(frozen=True)
class Worked:
    """One edition of the text, worked out.

    `circuit` is as read. `wiring` is None when nothing could be wired; then `why_not`
    says why. Editions that differ in words alone share their `network` and `board`.
    """

    text: str
    edition: int
    problems: tuple[Problem, ...]
    circuit: Circuit
    wiring: Wiring | None = None
    network: Network | None = None
    board: Board | None = None
    why_not: str = ""
    stretches: tuple[Stretch, ...] = ()
    drawings: dict[Shown, Drawn] = field(default_factory=dict)

    @property
    def has_mistakes(self) -> bool:
        """Whether some line could not be taken as it is."""
        return any(problem.severity == "mistake" for problem in self.problems)

    def draw(self, shown: Shown) -> None:
        """Make a drawing, unless it is there already."""
        if self.wiring is not None and shown not in self.drawings:
            stretch = self.stretches[min(shown.sheet, len(self.stretches) - 1)] if self.stretches else None
            self.drawings[shown] = draw(self.wiring, shown.look, stretch)


def drawn_without(worked: Worked) -> str:
    """What a drawing of this text leaves out, or why there is none; "" when it shows everything."""
    if worked.why_not:
        return f"This text cannot be drawn: {worked.why_not}"
    lines = sorted({p.span.line for p in worked.problems if p.span and p.severity == "mistake"})
    if not lines:
        return ""
    named = ", ".join(map(str, lines[:5])) + (" ..." if len(lines) > 5 else "")
    return f"Drawn without what is wrong in {'lines' if len(lines) > 1 else 'line'} {named}."


def work_out(text: str, name: str, *, edition: int = 1, before: Worked | None = None) -> Worked:
    """Read and wire a text; what has not changed since `before` is taken over, not done again."""
    reading = read(text, name)
    circuit = reading.circuit
    if before is not None and before.wiring is not None and circuit == before.circuit:
        return replace(before, text=text, edition=edition, problems=reading.problems, circuit=circuit)
    worked = Worked(text, edition, reading.problems, circuit)
    if before is not None and before.wiring is not None and differ_in_words_alone(circuit, before.circuit):
        wiring = replace(before.wiring, circuit=with_words_of(circuit, before.wiring.circuit))
        return replace(worked, wiring=wiring, network=before.network, board=before.board, stretches=before.stretches)
    try:
        wiring = wire(circuit)
        stretches = rung_stretches(wiring.circuit, MOST_LINES)
        return replace(worked, wiring=wiring, network=Network(wiring), board=Board(wiring), stretches=stretches)
    except Exception as reason:  # a text half typed may be anything; it must never take the bench down
        return replace(worked, why_not=str(reason) or type(reason).__name__)


def differ_in_words_alone(one: Circuit, other: Circuit) -> bool:
    """Whether two circuits have the same wires and do the same, whatever is written beside their parts."""
    return (
        _same_but_for_words(one.devices, other.devices)
        and _same_but_for_words(one.rungs, other.rungs)
        and _same_but_for_words(one.power_paths, other.power_paths)
        and _rest(one) == _rest(other)
    )


def _same_but_for_words(ones: Sequence[Worded], others: Sequence[Worded]) -> bool:
    if len(ones) != len(others):
        return False
    pairs = ((a, b) for a, b in zip(ones, others, strict=True) if a is not b)
    return all(a == b or replace(a, text=b.text) == b for a, b in pairs)


def _rest(circuit: Circuit) -> Circuit:
    heading = circuit.heading
    kept = Heading(symbols=heading.symbols, wire_numbers=heading.wire_numbers, rules=heading.rules)
    words = {"heading": kept, "site": (), "notes": (), "assumptions": (), "promises": (), "trials": ()}
    return replace(circuit, devices=(), rungs=(), power_paths=(), **words)  # type: ignore[arg-type]


def with_words_of(circuit: Circuit, allotted: Circuit) -> Circuit:
    """An allotted circuit with the words of another that differs from it in words alone."""
    reworded = replace(
        allotted,
        heading=circuit.heading,
        devices=tuple(_reworded(mine, circuit.by_tag[mine.tag]) for mine in allotted.devices),
        rungs=tuple(map(_reworded, allotted.rungs, circuit.rungs)),
        power_paths=tuple(map(_reworded, allotted.power_paths, circuit.power_paths)),
        site=circuit.site,
        notes=circuit.notes,
        assumptions=circuit.assumptions,
        promises=circuit.promises,
        trials=circuit.trials,
    )
    return with_nets_of(reworded, allotted)


def _reworded(mine: Worded, new: Worded) -> Worded:
    return mine if mine.text == new.text else replace(mine, text=new.text)


def draw(wiring: Wiring, look: Look, stretch: Stretch | None = None) -> Drawn:
    """One drawing of a wiring, cut into its pieces. `stretch`: the lines of a rung drawing to be shown."""
    drawing: Drawing | None
    if look == "power":
        drawing = power_drawing(wiring.circuit, live=True, numbers=wiring.numbers)
    elif look in ("connections", "behind"):
        drawing = connection_drawing(wiring.circuit, wiring, behind=look == "behind")
    else:
        drawing = rung_drawing(
            wiring.circuit, upright=look == "upright", live=True, numbers=wiring.numbers, stretch=stretch
        )
    return pieces_of(drawing.svg(None)) if drawing is not None else NOTHING_DRAWN


def pieces_of(svg: str) -> Drawn:
    """An SVG text as its opening tag and the elements right under it."""
    lines = svg.strip().split("\n")
    pieces: list[str] = []
    depth = 0
    for line in lines[1:-1]:
        if depth == 0:
            pieces.append(line)
        else:
            pieces[-1] += line
        depth += opens(line)
    return lines[0], tuple(pieces)


def opens(line: str) -> int:
    """How many elements a line of SVG opens more than it closes; our writer puts one tag on a line."""
    if line.startswith("</"):
        return -1
    return int(line.startswith(("<g", "<a")) and not line.endswith(("/>", "</g>", "</a>")))
