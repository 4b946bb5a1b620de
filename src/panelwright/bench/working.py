"""From text to everything that the bench shows of it. Pure, so that it can be done beside the event loop."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

from ..circuit import Circuit, Problem
from ..electrics import Network
from ..language import read
from ..sheets.connections import connection_drawing
from ..sheets.rungs import Stretch, rung_drawing, rung_stretches
from ..wiring import Wiring, wire
from .live import Board
from .protocol import Look, Shown

MOST_LINES = 30  # of a rung drawing on one sheet of the page

Drawn = tuple[str, tuple[str, ...]]  # opening tag, pieces


@dataclass(frozen=True)
class Worked:
    """One edition of the text, worked out. `wiring` is None when nothing could be wired; then `why_not` says why."""

    text: str
    edition: int
    problems: tuple[Problem, ...]
    circuit: Circuit
    wiring: Wiring | None
    network: Network | None
    board: Board | None
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
    if before is not None and before.wiring is not None and reading.circuit == before.circuit:
        return replace(before, text=text, edition=edition, problems=reading.problems, circuit=reading.circuit)
    bare = Worked(text, edition, reading.problems, reading.circuit, None, None, None)
    try:
        wiring = wire(reading.circuit)
        stretches = rung_stretches(wiring.circuit, MOST_LINES)
        return replace(bare, wiring=wiring, network=Network(wiring), board=Board(wiring), stretches=stretches)
    except Exception as reason:  # a text half typed may be anything; it must never take the bench down
        return replace(bare, why_not=str(reason) or type(reason).__name__)


def draw(wiring: Wiring, look: Look, stretch: Stretch | None = None) -> Drawn:
    """One drawing of a wiring, cut into its pieces. `stretch`: the lines of a rung drawing to be shown."""
    if look in ("connections", "behind"):
        drawing = connection_drawing(wiring.circuit, wiring, behind=look == "behind")
    else:
        drawing = rung_drawing(
            wiring.circuit, upright=look == "upright", live=True, numbers=wiring.numbers, stretch=stretch
        )
    return pieces_of(drawing.svg(None))


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
