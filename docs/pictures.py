"""The pictures of the documentation, all drawn by Panelwright itself."""

from __future__ import annotations

from pathlib import Path

import panelwright as pw
from panelwright.sheets import symbol_sheet

EXAMPLES = Path(__file__).resolve().parents[1] / "examples"


def pictures() -> dict[str, str]:
    """File name in docs/pictures to SVG text."""
    pump = pw.read_file(EXAMPLES / "orchard" / "well-pump.panel").circuit
    steps, _ = pw.read_steps("press S2; release S2", pump)
    running = pw.work(pump, steps)[0].state
    return {
        "well-pump.svg": pw.draw(pump).svg(fonts=True),
        "well-pump-runs.svg": pw.draw(pump, state=running).svg(fonts=True),
        "well-pump-upright.svg": pw.draw(pump, upright=True).svg(fonts=True),
        "well-pump-na.svg": pw.draw(pump, symbols="NA").svg(fonts=True),
        "well-pump-connections.svg": pw.draw(pump, "connections").svg(fonts=True),
        "symbols.svg": symbol_sheet().svg(fonts=True),
    }
