"""Drawing a panel of 300 rungs and writing it as SVG, as a ratio to reading and wiring the same panel in the same run.

    python benchmarks/sheets_drawing.py

The aim is half a second for layout and drawing, so that a drawing follows the typing. Times are those of the
processor, the best of three.
"""

from __future__ import annotations

from collections.abc import Callable
from time import process_time

from behaviour_press import conveyor_line

from panelwright.sheets import connection_drawing, rung_drawing
from panelwright.sheets.display import walk
from panelwright.wiring import wire


def best(work: Callable[[], object]) -> float:
    """Seconds of the quickest of three."""
    times = []
    for _ in range(3):
        started = process_time()
        work()
        times.append(process_time() - started)
    return min(times)


def main() -> None:
    """Print seconds and ratios for each way of drawing."""
    started = process_time()
    wiring = wire(conveyor_line())
    reference = process_time() - started
    circuit = wiring.circuit
    print(f"{len(circuit.rungs)} rungs read and wired (reference): {reference:.2f} s")
    for name, options in (
        ("level", {}),
        ("upright", {"upright": True}),
        ("level, live", {"live": True}),
        ("cut to 250 mm", {"width_mm": 250.0}),
    ):
        took = best(lambda options=options: rung_drawing(circuit, numbers=wiring.numbers, **options))
        drawing = rung_drawing(circuit, numbers=wiring.numbers, **options)
        written = best(lambda drawing=drawing: drawing.svg(None))
        items = sum(1 for _ in walk(drawing.items))
        ratio = (took + written) / reference
        print(f"{name}: {items} items, drawn {took:.2f} s, written {written:.2f} s, ratio {ratio:.2f}")
    took = best(lambda: connection_drawing(circuit, wiring, form="stubs"))
    print(f"connections as stubs: {len(wiring.wires)} wires, drawn {took:.2f} s, ratio {took / reference:.2f}")


if __name__ == "__main__":
    main()
