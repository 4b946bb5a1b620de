"""The pictures of the documentation, all drawn by Panelwright itself."""

from __future__ import annotations

from pathlib import Path

import panelwright as pw

EXAMPLES = Path(__file__).resolve().parents[1] / "examples"


def pictures() -> dict[str, str]:
    """File name in docs/pictures to SVG text."""
    pump = pw.read_file(EXAMPLES / "orchard" / "well-pump.panel").circuit
    return {
        "well-pump.svg": pw.draw(pump),
        "well-pump-upright.svg": pw.draw(pump, upright=True),
        "well-pump-na.svg": pw.draw(pump, symbols="NA"),
    }
