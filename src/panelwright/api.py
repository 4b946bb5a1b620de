"""The calls of the library, one for each command; `import panelwright as pw` offers them.

Heavy parts are imported inside the calls, so that importing Panelwright costs next to nothing.
"""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from .circuit import Circuit, Problem
    from .language import Reading
    from .sheets.symbols import Standard
    from .wiring import Wiring


def read(text: str | bytes, name: str = "panel") -> Reading:
    """Read a panel file's text. Never raises on bad text: the problems are in the reading."""
    from .language import read as read_text

    return read_text(text, name=name)


def read_file(path: str | Path) -> Reading:
    """Read a panel file. Raises: OSError when the file cannot be read."""
    path = Path(path)
    return read(path.read_bytes(), path.name)


def check(circuit: Circuit) -> tuple[Problem, ...]:
    """The mistakes on the drawing board, in file order."""
    from .checks import check as check_circuit

    return tuple(check_circuit(circuit))


def wire(circuit: Circuit) -> Wiring:
    """Contacts allotted, nets numbered, wires named and put in order of work."""
    from .wiring import wire as wire_circuit

    return wire_circuit(circuit)


def tidy(circuit: Circuit) -> str:
    """The panel file in its canonical layout."""
    from .language import write

    return write(circuit)


def draw(
    circuit: Circuit,
    *,
    symbols: str | None = None,
    upright: bool = False,
    theme: str = "light",
) -> str:
    """The control circuit as an SVG drawing that stands alone.

    `symbols`: "IEC" or "NA", by default what the file says. `upright`: current paths from top to bottom instead of
    level rungs. `theme`: "light", "dark" or "print".
    """
    from .sheets.rungs import rung_drawing
    from .sheets.svg import write_svg

    wiring = wire(circuit)
    standard: Standard | None = None if symbols is None else "NA" if symbols == "NA" else "IEC"
    drawing = rung_drawing(wiring.circuit, standard=standard, upright=upright, numbers=wiring.numbers)
    return write_svg(drawing, theme, fonts=True)


def open_bench(paths: Iterable[str | Path], *, port: int | None = None, open_browser: bool = True) -> None:
    """Serve the bench for panel files and folders on this machine alone, until Ctrl+C.

    Raises: OSError when the port is in use or a path is not there.
    """
    from .bench.server import serve

    serve([Path(path) for path in paths], port=port, open_browser=open_browser)


def ready_circuits() -> Path:
    """The folder of circuits that come with Panelwright: `orchard` is the demo, `circuits` are published ones."""
    packed = Path(__file__).parent / "examples"
    return packed if packed.is_dir() else Path(__file__).parents[2] / "examples"
