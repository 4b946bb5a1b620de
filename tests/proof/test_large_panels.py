"""Races and movement without end in panels that are too large to be walked through state by state."""

from __future__ import annotations

import time

import pytest

from benchmarks.families import ring
from panelwright.behaviour.proof.buzzing import endless_movement
from panelwright.behaviour.proof.influence import may_be_diverted
from panelwright.behaviour.proof.orders import Orders, TooManyOrders
from panelwright.behaviour.proof.panel import Panel
from panelwright.behaviour.proof.proving import Proof, prove
from panelwright.behaviour.proof.race_model import RaceCone
from panelwright.behaviour.proof.racing import decide_race
from panelwright.circuit import Circuit, Sentence
from panelwright.electrics import Network
from panelwright.electrics.positions import position_of
from panelwright.language import read
from panelwright.wiring import wire
from tests.electrics.families import Workshop, reversing, sequence

from .timed_circuits import panel_without_seconds

FAR = 1e12  # no clock gets there


def proof_of(circuit: Circuit, what: str) -> Proof:
    """One of the standing promises."""
    return next(prove(Network(circuit), (Sentence(what, what),), seconds=60))  # type: ignore[arg-type]


def cone_of(circuit: Circuit) -> RaceCone:
    """All coil devices of a circuit, one thing at a time."""
    panel = Panel(Network(circuit))
    return RaceCone(panel, {device.tag for device in circuit.devices if any(load.drives for load in device.loads)})


# ---- who drives whom
def test_where_everything_helps_the_next_nothing_is_diverted():
    """A hundred starters in sequence: each start helps those behind it, each stop hinders them."""
    assert may_be_diverted(cone_of(sequence(100))) == []


def test_what_opens_its_own_coil_may_be_diverted():
    """Planted: in a chain, one relay's own break contact in its drive."""
    shop = Workshop()
    for n in range(1, 6):
        before = (f"K{n - 1}.no",) if n > 1 else ()
        own = ("K3.nc",) if n == 3 else ()
        shop.rung("+", ("S0.nc", *before, f"S{n}.no", *own, f"K{n}.coil"), "-")

    assert [arm.tag for arm in may_be_diverted(cone_of(shop.circuit()))] == ["K3", "K4", "K5"]


@pytest.mark.parametrize("number", range(8))
def test_who_drives_whom_clears_no_arm_that_the_search_finds_diverted(number):
    """Every device of a race was a suspect."""
    circuit = wire(read(panel_without_seconds(number)).circuit).circuit
    panel = Panel(Network(circuit))
    answer = decide_race(panel, time.monotonic() + 5)
    suspects = {arm.tag for arm in may_be_diverted(cone_of(circuit))}

    assert not answer.one or suspects & set(answer.tags)


# ---- races
def test_opposed_starters_have_no_race():
    """Sixty relays in pairs that lock each other out; nothing but near neighbours is needed."""
    assert proof_of(reversing(30), "no race").outcome == "kept"


def test_one_pair_among_many_that_is_not_locked_by_its_buttons():
    """Planted: two relays that one button sends in, each dropping the other: who is quicker stays in."""
    shop = Workshop()
    for n in range(1, 20):
        shop.rung("+", ("S0.nc", [f"S{n}.no", f"K{n}.no"], f"K{n}.coil"), "-")
    shop.rung("+", ("S0.nc", "S20.no", "K21.nc", "K20.coil"), "-")
    shop.rung("+", ("S0.nc", "S20.no", "K20.nc", "K21.coil"), "-")
    proof = proof_of(shop.circuit(), "no race")

    assert proof.outcome == "broken"
    assert proof.story[-1].startswith("Or: ")
    assert "K20" in proof.story[-1]
    assert "K21" in proof.story[-1]


def test_a_race_beside_a_buzzer():
    """Planted: the same two, and a relay on that button that opens its own coil: there is no rest, but two outcomes."""
    shop = Workshop()
    shop.rung("+", ("S20.no", "K21.nc", "K20.coil"), "-")
    shop.rung("+", ("S20.no", "K20.nc", "K21.coil"), "-")
    shop.rung("+", ("S20.no", "K22.nc", [f"K{n}.nc" for n in (20, 21)], "K22.coil"), "-")
    proof = proof_of(shop.circuit(), "no race")

    assert proof.outcome == "broken"
    assert "K20" in proof.story[-1]


def test_orders_too_many_to_go_through_are_drawn_by_lot():
    """Planted: the same two, while fifteen buzzers on that button go to and fro in any order."""
    shop = Workshop()
    shop.rung("+", ("S20.no", "K21.nc", "K20.coil"), "-")
    shop.rung("+", ("S20.no", "K20.nc", "K21.coil"), "-")
    for n in range(30, 45):
        shop.rung("+", ("S20.no", f"K{n}.nc", ["K20.nc", "K21.nc"], f"K{n}.coil"), "-")
    circuit = shop.circuit()
    cone = cone_of(circuit)
    orders = Orders(cone)
    start = {bit.name: bool(bit.start) for bit in cone.model.bits} | {"supply:G1": True, "S20": True}
    with pytest.raises(TooManyOrders):
        orders.two_ends(start)
    found = orders.two_ends_by_lot(start)

    assert found is not None
    assert set(found.tags) == {"K20", "K21"}


# ---- movement without end
def test_a_ring_with_all_its_switches_made_goes_round_for_ever():
    """Twenty steps, each dropping the one before: with every switch held nothing is ever left to wait for."""
    proof = proof_of(ring(20), "no buzzing")

    assert proof.outcome == "broken"


def test_a_buzzer_among_many_is_found_and_the_rest_left_alone():
    """Planted: one relay of forty opens its own coil; only its own switch has to be held."""
    shop = Workshop()
    for n in range(1, 41):
        own = "K17.nc" if n == 17 else f"S{n + 50}.nc"
        shop.rung("+", ("S0.nc", f"S{n}.no", own, f"K{n}.coil"), "-")
    circuit = shop.circuit()
    panel = Panel(Network(circuit))
    found = next(endless_movement(panel, set(circuit.by_tag), (), FAR))

    assert found.tags == {"K17"}
    assert {tag.partition(":")[0] for tag in found.held} == {"supply", "S0", "S17"}
    assert proof_of(circuit, "no buzzing").outcome == "broken"
    assert list(endless_movement(panel, set(circuit.by_tag), {"K17"}, FAR)) == []


def test_where_it_moves_for_ever_the_volts_never_let_it_rest():
    """In each state of the buzzer, in volts and amps: fed while at rest, not fed while operated."""
    proof = proof_of(_buzzer_in_a_crowd(), "no buzzing")
    network = Network(_buzzer_in_a_crowd())
    end = proof.course[-1].states
    for stage, verdict in (("rest", "full"), ("operated", "none")):
        state = {**end, "K1": type(end["K1"])(stage)}  # type: ignore[arg-type]

        assert network.solve(position_of(network.circuit, state)).load("K1.coil").verdict == verdict


def _buzzer_in_a_crowd() -> Circuit:
    shop = Workshop()
    shop.rung("+", ("S1.no", "K1.nc", "K1.coil"), "-")
    for n in range(2, 70):
        shop.rung("+", ([f"S{n}.no", f"K{n}.no"], f"K{n}.coil"), "-")
    return shop.circuit()
