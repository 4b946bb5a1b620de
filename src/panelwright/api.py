"""The calls of the library, one for each command; `import panelwright as pw` offers them.

Heavy parts are imported inside the calls, so that importing Panelwright costs next to nothing.
"""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from .circuit import Circuit, Problem
    from .language import Reading
    from .wiring import Wiring


def read(text: str, name: str = "panel") -> Reading:
    """Read a panel file's text. Never raises on bad text: the problems are in the reading."""
    from .language import read as read_text

    return read_text(text, name=name)


def read_file(path: str | Path) -> Reading:
    """Read a panel file. Raises: OSError when the file cannot be read."""
    path = Path(path)
    return read(path.read_text(encoding="utf-8-sig"), path.name)


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
