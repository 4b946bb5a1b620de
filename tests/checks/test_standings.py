"""Questions about all standings, against trying every one of them."""

from itertools import product
from pathlib import Path

import pytest

from panelwright.electrics import Network
from panelwright.electrics.standing import Standings
from panelwright.language import read
from panelwright.wiring import wire

SMALL = ["circuits/c07-hoist-no-interlock", "circuits/c10-buzzing-relay", "circuits/c25-start-on-earthed-side"]


def standings_of(name: str, switched_on: bool = False) -> Standings:
    """The standings of an example."""
    circuit = read(Path(f"examples/{name}.panel").read_bytes()).circuit
    return Standings(Network(wire(circuit)), switched_on=switched_on)


@pytest.mark.parametrize("name", SMALL)
def test_a_load_can_be_full_exactly_when_some_standing_makes_it_so(name):
    """Every setting of the inputs solved electrically, compared with the answer of the solver."""
    standings = standings_of(name)
    names = standings.program.gates.inputs
    full: set[str] = set()
    for values in product((False, True), repeat=len(names)):
        found = dict(zip(names, values, strict=True))
        solution = standings.network.solve(standings.position(found))
        if not solution.shorts:
            full |= {key for key, answer in solution.loads.items() if answer.verdict == "full"}
    possible = {
        key
        for key, literal in standings.program.full.items()
        if standings.find([literal, standings.program.short ^ 1], settled=False)
    }

    assert full == possible


def test_a_buzzer_has_no_settled_standing_with_its_button_pressed():
    """C10: neither in nor out can last."""
    standings = standings_of("circuits/c10-buzzing-relay", switched_on=True)

    assert standings.find([standings.input("S1")]) is None
    assert standings.find([standings.input("S1") ^ 1]) is not None


def test_both_directions_of_the_hoist_settle_together():
    """C07 as its source states: both contactors in with both buttons pressed."""
    standings = standings_of("circuits/c07-hoist-no-interlock")
    found = standings.find([standings.input("K1"), standings.input("K2")])

    assert found is not None
    assert found["S2"]
    assert found["S3"]
