"""Earth faults against ngspice: every net of a start-stop on its own supply touched to earth, relay out and in.

Reference program: ngspice, a general circuit simulator (https://ngspice.sourceforge.io); decks as in tests/electrics.
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from panelwright.electrics import Joined, Network, Position
from tests.electrics.families import Workshop
from tests.electrics.ngspice import Deck, deck_of, node_names, run

FAULT_OHMS = 1e-5
WAYS = {
    "well made": ("S1.nc", ["S2.no", "K1.no"], "K1.coil"),
    "start on the earthed side": ("S1.nc", "K1.coil", ["S2.no", "K1.no"]),
    "stop on the earthed side": (["S2.no", "K1.no"], "K1.coil", "S1.nc"),
}


@pytest.mark.parametrize("way", WAYS)
def test_volts_with_an_earth_fault_are_those_of_ngspice(way: str) -> None:
    """Coil volts within 1 mV wherever the supply is not shorted; where it is, ngspice has amps to match."""
    shop = Workshop()
    shop.rung("+", WAYS[way], "-")
    circuit = shop.circuit()
    network, names = Network(circuit), node_names(circuit)
    contacts = {f"{d.tag}.{c.name}": c for d in circuit.devices for c in d.contacts}
    cases: list[tuple[str, frozenset[str], Deck]] = []
    for held in (set(), {"K1"}, {"S1"}, {"S2"}, {"K1", "S1"}):
        closed = frozenset(e for e, c in contacts.items() if (e.partition(".")[0] in held) == (c.form == "no"))
        for node in sorted(set(names.values()) - {"0"}):
            deck = deck_of(circuit, closed)
            cases.append((node, closed, replace(deck, lines=(*deck.lines, f"Rfault {node} 0 {FAULT_OHMS}"))))
    answers = run([deck for *_, deck in cases])
    shorted = 0
    for (node, closed, _), answer in zip(cases, answers, strict=True):
        terminal = next(t for t, n in names.items() if n == node)
        solution = network.edited([Joined(terminal, "earth")]).solve(Position(closed))
        a, b = (answer.get(names[f"K1.{mark}"], 0.0) for mark in ("A1", "A2"))
        if solution.shorts:
            shorted += 1
            continue

        assert abs(abs(a - b) - solution.across("K1.coil").effective) < 1e-3, (node, sorted(closed))
    assert 0 < shorted < len(cases)
