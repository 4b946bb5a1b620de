"""The shipped panels: gates and solver agree in random contact positions."""

from __future__ import annotations

import random
from pathlib import Path

import pytest

from panelwright.circuit import Fuse
from panelwright.electrics import Network, Position, compile_gates
from panelwright.language import read
from panelwright.wiring import wire

PANELS = sorted((Path(__file__).parents[2] / "examples").rglob("*.panel"))
POSITIONS = 12
# a dc supply gives its volts from 85 % on, a loaded transformer sags: gates take supplies as stiff
SAGS = 0.05


@pytest.mark.parametrize("path", PANELS, ids=lambda path: path.stem)
def test_gates_agree_with_the_solver(path: Path) -> None:
    """Full and none are full and none, shorts are shorts, motors run the same way; with whole and blown fuses."""
    wiring = wire(read(path.read_bytes()).circuit)
    network = Network(wiring)
    program = compile_gates(network)
    contacts = [name for name in program.gates.inputs if not name.startswith("supply:")]
    rng = random.Random(path.stem)
    for _ in range(POSITIONS):
        share = rng.choice((0.3, 0.7))
        conducting = {name for name in contacts if rng.random() < (share if is_contact(network, name) else 0.9)}
        on = {f"supply:{device.tag}" for device, _ in wiring.circuit.supplies if rng.random() < 0.9}
        off = frozenset(device.tag for device, _ in wiring.circuit.supplies if f"supply:{device.tag}" not in on)
        fuses = {name for name in contacts if not is_contact(network, name)}
        position = Position(frozenset(conducting) - fuses, frozenset(fuses - conducting), off)
        solution = network.solve(position)
        short = program.gates.values(conducting | on, [program.short])[0]
        assert short == bool(solution.shorts)
        if not short:
            compare(network, solution, program, conducting | on)


def is_contact(network: Network, name: str) -> bool:
    """Whether an input is a contact and no fuse."""
    return not isinstance(network.circuit.elements[name][1], Fuse)


def compare(network, solution, program, true) -> None:  # type: ignore[no-untyped-def]
    """Every load and every motor."""
    for load, verdict in program.verdicts(true).items():
        answer = solution.load(load)
        if verdict == "full":
            assert answer.acting_v >= answer.works_v * (1 - SAGS), (load, answer)
        elif verdict == "none":
            assert answer.verdict == "none", (load, answer)
    for motor in program.forward:
        literals = [program.forward[motor], program.reverse[motor], program.touched[motor]]
        forward, reverse, touched = program.gates.values(true, literals)
        state = solution.motor(motor).state
        if forward or reverse or not touched:  # else partial: through a starting resistor, say
            assert state == ("forward" if forward else "reverse" if reverse else "stopped"), motor
