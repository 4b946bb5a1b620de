"""Rung drawings: level rungs or upright current paths, in either standard, from an allotted circuit.

`strands` reads the trees, `cells` makes the parts, `along` and `across` find their places, `draw` draws.
"""

from __future__ import annotations

from collections.abc import Mapping

from ...circuit import Circuit, Use, nets_of
from ..display import Drawing
from ..symbols import Standard
from .cells import Frame
from .draw import draw_ladder
from .pages import drawings_by_page
from .strands import ladder_of
from .stretches import Stretch, stretches_of

__all__ = ["Stretch", "lines_of", "rung_drawing", "rung_pages", "rung_stretches", "running_numbers"]


def rung_drawing(
    circuit: Circuit,
    *,
    standard: Standard | None = None,
    upright: bool = False,
    live: bool = False,
    numbers: Mapping[str, str] | None = None,
    width_mm: float | None = None,
    stretch: Stretch | None = None,
) -> Drawing:
    """The control circuit as rungs.

    `circuit`: allotted. `standard`: symbols, the file's own by default. `upright`: current paths from top to bottom.
    `live`: with both forms of every contact and empty places for volts and state words, for the page or
    `live.shown_as`. `numbers`: net id to wire number (by default points keep their names, other nets count on).
    `width_mm`: longest rung; longer ones are cut and go on in a new line, with flags.
    `stretch`: only these lines, one of `rung_stretches`; they keep their numbers.
    Raises: ValueError when the circuit is not allotted.
    """
    used: Standard = standard or ("NA" if circuit.heading.symbols == "NA" else "IEC")
    frame = Frame(used, upright, live)
    return draw_ladder(circuit, ladder_of(circuit), frame, numbers or running_numbers(circuit), width_mm, stretch)


def rung_stretches(circuit: Circuit, most: int) -> tuple[Stretch, ...]:
    """The lines of a rung drawing in stretches of at most `most`, cut only where nothing but rails runs across."""
    return stretches_of(ladder_of(circuit), most)


def lines_of(circuit: Circuit) -> dict[str, int]:
    """Element id to the number of the line that it is drawn in, counted from 1."""
    strands = ladder_of(circuit).strands
    return {use.element: s.row + 1 for s in strands for leaf in s.leaves if isinstance(use := leaf.use, Use)}


def running_numbers(circuit: Circuit) -> dict[str, str]:
    """Net id to number: rails and points have their names, other nets the next free numbers in reading order."""
    nets = nets_of(circuit)
    taken = {name for net in nets for name in (*net.points, *net.rails)}
    numbers: dict[str, str] = {}
    count = 0
    for net in nets:
        if net.rails or net.points:
            numbers[net.id] = (*net.rails, *net.points)[0]
            continue
        count += 1
        while str(count) in taken:
            count += 1
        numbers[net.id] = str(count)
    return numbers


def rung_pages(
    circuit: Circuit,
    width_mm: float,
    height_mm: float,
    *,
    standard: Standard | None = None,
    upright: bool = False,
    numbers: Mapping[str, str] | None = None,
) -> list[Drawing]:
    """The rung drawing in pieces for pages that leave this much space; arguments as in `rung_drawing`.

    Long rungs are cut to the width with flags. Lines that a point joins stay together, even when they need more.
    """
    used: Standard = standard or ("NA" if circuit.heading.symbols == "NA" else "IEC")
    frame = Frame(used, upright)
    return drawings_by_page(circuit, frame, numbers or running_numbers(circuit), width_mm, height_mm)
