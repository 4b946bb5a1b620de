"""Expected readings against ngspice, the meter as a resistor between its leads.

Reference program: ngspice, a general circuit simulator, https://ngspice.sourceforge.io
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from panelwright import api
from panelwright.electrics import Network
from panelwright.finding import meter_called, situation_called
from panelwright.finding.probing import volts_shown
from panelwright.finding.situations import state_in
from tests.electrics import ngspice

PLACES = [
    ("K1.13", "K1.14"),
    ("S2.13", "S2.14"),
    ("K1.9", "K1.5"),
    ("S1.11", "G1.-"),
    ("K1.5", "G1.+"),
    ("K1.8", "G1.-"),
]


@pytest.mark.parametrize("meter", ["digital", "low-impedance", "moving-coil", "two-pole"])
@pytest.mark.parametrize("words", ["at rest", "S2 held", "running", "running, S1 held"])
def test_volts_in_the_well_pump(words: str, meter: str) -> None:
    """Every place in every situation, the meter's load included."""
    wiring = api.wire(api.read_file(api.ready_circuits() / "orchard" / "well-pump.panel").circuit)
    network = Network(wiring)
    state = state_in(network, situation_called(network, words))
    bare = ngspice.deck_of(wiring.circuit, state.position.closed)
    bare = replace(bare, lines=tuple(_without_dark_diodes(bare.lines)))
    nodes = ngspice.node_names(wiring.circuit)
    kind = meter_called(meter)
    shown = [volts_shown(state, a, b, kind) for a, b in PLACES]
    decks = []
    for (a, b), _ in zip(PLACES, shown, strict=True):
        ohms = kind.inner_ohms(state.solution.volts(a, b).effective)
        load = f"Rmeter {nodes[a]} {nodes[b]} {ohms!r}"
        decks.append(replace(bare, lines=(*bare.lines, load)))
    answers = ngspice.run(decks)

    for (a, b), one, volts in zip(PLACES, shown, answers, strict=True):
        expected = (volts.get(nodes[a], 0j) - volts.get(nodes[b], 0j)).real
        assert expected == pytest.approx(one.value, abs=0.05), (a, b, words, meter)


def _without_dark_diodes(lines: tuple[str, ...]) -> list[str]:
    return list(lines)
