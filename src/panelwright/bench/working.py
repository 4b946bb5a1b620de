"""From text to everything that the bench shows of it. Pure, so that it can be done beside the event loop."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

from ..circuit import Circuit, Heading, Problem
from ..electrics import Network
from ..language import read
from ..sheets import Drawing, connection_drawing, power_drawing
from ..sheets.rungs import Stretch, rung_drawing, rung_stretches
from ..wiring import Wiring, wire
from .live import Board
from .protocol import Look, Shown

MOST_LINES = 30  # of a rung drawing on one sheet of the page

Drawn = tuple[str, tuple[str, ...]]  # opening tag, pieces
NOTHING_DRAWN: Drawn = ("<svg>", ())


@dataclass(frozen=True)
class Worked:
    """One edition of the text, worked out.

    `circuit` is as read, `bare` the same without words. `wiring` is None when nothing could be wired; then `why_not`
    says why. Editions that differ in words alone share their `network` and `board`.
    """

    text: str
    edition: int
    problems: tuple[Problem, ...]
    circuit: Circuit
    bare: Circuit
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


def work_out(text: str, name: str, *, edition: int = 1, before: Worked | None = None) -> Worked:
    """Read and wire a text; what has not changed since `before` is taken over, not done again."""
    reading = read(text, name)
    circuit = reading.circuit
    if before is not None and before.wiring is not None and circuit == before.circuit:
        return replace(before, text=text, edition=edition, problems=reading.problems, circuit=circuit)
    worked = Worked(text, edition, reading.problems, circuit, without_words(circuit))
    if before is not None and before.wiring is not None and worked.bare == before.bare:
        wiring = replace(before.wiring, circuit=with_words_of(circuit, before.wiring.circuit))
        return replace(worked, wiring=wiring, network=before.network, board=before.board, stretches=before.stretches)
    try:
        wiring = wire(circuit)
        stretches = rung_stretches(wiring.circuit, MOST_LINES)
        return replace(worked, wiring=wiring, network=Network(wiring), board=Board(wiring), stretches=stretches)
    except Exception as reason:  # a text half typed may be anything; it must never take the bench down
        return replace(worked, why_not=str(reason) or type(reason).__name__)


def without_words(circuit: Circuit) -> Circuit:
    """The circuit without anything that changes neither its wires nor what it does."""
    heading = circuit.heading
    return replace(
        circuit,
        heading=Heading(symbols=heading.symbols, wire_numbers=heading.wire_numbers, rules=heading.rules),
        devices=tuple(replace(device, text="") for device in circuit.devices),
        rungs=tuple(replace(rung, text="") for rung in circuit.rungs),
        power_paths=tuple(replace(path, text="") for path in circuit.power_paths),
        notes=(),
        assumptions=(),
        promises=(),
        trials=(),
    )


def with_words_of(circuit: Circuit, allotted: Circuit) -> Circuit:
    """An allotted circuit with the words of another that differs from it in words alone."""
    by_tag = circuit.by_tag
    return replace(
        allotted,
        heading=circuit.heading,
        devices=tuple(replace(device, text=by_tag[device.tag].text) for device in allotted.devices),
        rungs=tuple(replace(mine, text=new.text) for mine, new in zip(allotted.rungs, circuit.rungs, strict=True)),
        power_paths=tuple(
            replace(mine, text=new.text) for mine, new in zip(allotted.power_paths, circuit.power_paths, strict=True)
        ),
        notes=circuit.notes,
        assumptions=circuit.assumptions,
        promises=circuit.promises,
        trials=circuit.trials,
    )


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
