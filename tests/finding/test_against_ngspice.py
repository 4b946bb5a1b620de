"""Expected readings against ngspice, the meter as a resistor between its leads.

Reference program: ngspice, a general circuit simulator, https://ngspice.sourceforge.io
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from panelwright import api
from panelwright.electrics import Network
from panelwright.finding import meter_called, situation_called
from panelwright.finding.probing import volts_shown
from panelwright.finding.situations import state_in
from panelwright.finding.stray import couplings, with_stray
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


STORE = [("X5.2", "L.N"), ("X5.4", "L.N"), ("B1.14", "B2.14"), ("SA1.24", "L.N"), ("K1.A1", "K1.A2"), ("K1.14", "L.N")]
WORKED = ["SA1 at AUTO", "SA1 at AUTO, B2 made", "SA1 at AUTO, B1 made", "SA1 at HAND", "B1 made"]


@pytest.mark.parametrize("meter", ["digital", "low-impedance", "moving-coil", "two-pole"])
@pytest.mark.parametrize("words", WORKED)
def test_volts_on_alternating_current_with_long_cables(words: str, meter: str) -> None:
    """230 V 50 Hz, 60 m to the store: the capacitance between the cores and the meter's own load.

    Cable capacitance 0.26 uF/km, from catalog/cables.toml.
    """
    wiring = api.wire(api.read_file(Path(__file__).with_name("far_store.panel")).circuit)
    network = Network(wiring)
    state = with_stray(state_in(network, situation_called(network, words)), wiring)
    nodes, bare = ngspice.node_names(wiring.circuit), ngspice.deck_of(wiring.circuit, state.position.closed, 50.0)
    cores = [
        f"Cstray{number} {nodes[one.a]} {nodes[one.b]} {one.farads!r}"
        for number, one in enumerate(couplings(wiring))
        if nodes[one.a] != nodes[one.b]
    ]
    kind = meter_called(meter)
    shown = [volts_shown(state, a, b, kind) for a, b in STORE]
    decks = []
    for a, b in STORE:
        ohms = kind.inner_ohms(state.solution.volts(a, b).effective)
        load = [] if nodes[a] == nodes[b] else [f"Rmeter {nodes[a]} {nodes[b]} {ohms!r}"]
        lines = (*bare.lines, *cores, *load)
        met = tuple(dict.fromkeys(node for line in lines for node in line.split()[1:3] if node != "0"))
        decks.append(replace(bare, lines=lines, nodes=met))
    for (a, b), one, volts in zip(STORE, shown, ngspice.run(decks), strict=True):
        expected = abs(volts.get(nodes[a], 0j) - volts.get(nodes[b], 0j))
        read = 0.0 if expected < 0.05 else expected

        assert read == pytest.approx(one.value, abs=0.05, rel=1e-3), (a, b, words, meter)


def test_a_long_cable_fools_a_high_resistance_meter() -> None:
    """Volts that nothing feeds: over 100 on a digital meter, next to nothing on a low-resistance one."""
    circuit = api.read_file(api.ready_circuits() / "orchard" / "cold-store-fan.panel").circuit
    high, low = (
        api.readings(circuit, ["SA1 at AUTO"], between=("X5.2", "T9.2V"), meter=meter).values["readings"][0]
        for meter in ("digital", "low-impedance")
    )

    assert high["value"] > 100
    assert low["value"] < 2
    assert "stray" in high["mind"]
