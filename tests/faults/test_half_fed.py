"""Half fed coils decided by their volts: the gates then say what the electrical solution says, and nothing else."""

from __future__ import annotations

import random
from dataclasses import replace
from pathlib import Path

import pytest

import panelwright as pw
from panelwright.behaviour.proof.half_fed import position_at
from panelwright.behaviour.proof.panel import Panel
from panelwright.faults import fault_list
from panelwright.faults.broken_panel import Bench
from panelwright.faults.proving import Prover

EXAMPLES = Path(__file__).parents[2] / "examples"
POSITIONS = 40  # of each broken panel, by lot
PANELS = ("circuits/c14-two-speed-ventilator", "circuits/c18-lathe-dc-braking", "orchard/emergency-stop")
ASKED = ("touches", "lead landed", "exchanged", "ohm", " at ", "coupled")  # kinds that leave coils half fed


def bench(name: str) -> Bench:
    """An example on which faults are put."""
    return Bench(pw.wire(pw.read_file(EXAMPLES / f"{name}.panel").circuit))


def standing(panel: Panel, lot: random.Random) -> dict[str, bool]:
    """Where the devices stand, by lot."""
    names = panel.program.gates.inputs
    held = {name: lot.random() < 0.5 for name in names if "=" not in name and not name.endswith(":rest")}
    for name in names:
        if name.endswith(":rest"):
            held[name] = not held[name.removesuffix(":rest")] and lot.random() < 0.7
    for device in panel.circuit.devices:
        if device.mechanism.positions:
            place = lot.choice(device.mechanism.positions)
            held |= {f"{device.tag}={one}": one == place for one in device.mechanism.positions}
    return held | {name: lot.random() < 0.8 for name in names if name.startswith("supply:")}


@pytest.mark.parametrize("name", PANELS)
def test_what_the_gates_say_is_what_the_volts_say(name: str) -> None:
    """Every load of broken panels, in positions by lot: surely working and surely at rest agree with the solution."""
    on, lot = bench(name), random.Random(1)
    faults = [one for one in fault_list(on.wiring) if any(word in one.words for word in ASKED)]
    decided = 0
    for one in faults[::5]:
        for panel in on.broken(one.fault).panels:
            for held in (standing(panel, lot) for _ in range(POSITIONS)):
                solution = panel.network.solve(position_at(panel, held))
                if solution.shorts:
                    continue
                for load, said in panel.program.verdicts(name for name, value in held.items() if value).items():
                    decided += said != "partial"

                    assert said in ("partial", solution.verdict(load)), (one.words, load, held)
    assert decided > 1000


def test_a_motor_lead_to_earth_leaves_no_coil_in_doubt() -> None:
    """No volts come over a floating mains and one earth fault: nothing is half fed (Kirchhoff's laws)."""
    on = bench("circuits/c14-two-speed-ventilator")
    fault = next(one for one in fault_list(on.wiring) if one.words == "K1.T3 touches earth")
    (panel,) = on.broken(fault.fault).panels

    assert [] == [load for load, full in panel.program.full.items() if panel.program.may[load] != full]


def test_a_coil_on_part_of_its_volts_stays_in_doubt() -> None:
    """84 of 120 V: more than it drops out at, less than the 85 % that IEC 60947-1 lets a coil ask for."""
    on = bench("circuits/c14-two-speed-ventilator")
    fault = next(one for one in fault_list(on.wiring) if one.words == "T9 at 84 V")
    (panel,) = on.broken(fault.fault).panels

    assert panel.program.may["K1.coil"] != panel.program.full["K1.coil"]


CREEPING = """panel "A lamp before a coil"
supplies
  G1  dc supply  24 V  5 A  rails + -  earthed at -
devices on door
  S1  pushbutton  1 NO
  S2  pushbutton  1 NO
  H1  lamp  24 V dc  2 W
devices on plate
  K1  relay  2 CO  coil 24 V dc
rungs from + to -
  S1.no  @4  H1  @5  S2.no
  @5  K1.coil
promises
  @5 is dead while S1 is released
  @5 is live only while S1 is pressed
"""


def test_points_of_panels_with_faults_are_not_taken_for_one_another() -> None:
    """Each fault asked of a prover that has seen others, and of one that has not: volts creep through the lamp."""
    circuit = pw.wire(pw.read(CREEPING).circuit)
    seen = Prover(circuit)
    for promise in seen.bench.circuit.promises:
        for one in fault_list(seen.bench.wiring):
            asked = replace(promise, faults=(one.fault,))

            assert seen.answer(asked).outcome == Prover(circuit).answer(asked).outcome, (one.words, promise.text)
