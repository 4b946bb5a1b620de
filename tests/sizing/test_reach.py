"""What can be on together, walked through; compared with runs in time and with the solver's over-estimate."""

from __future__ import annotations

import random
from pathlib import Path

import pytest

import panelwright as pw
from panelwright.behaviour import Run
from panelwright.behaviour.times import Pace, Paces
from panelwright.circuit import Do
from panelwright.sizing import job_of
from panelwright.sizing.control_circuits import ControlCircuit, control_circuits
from panelwright.sizing.reach import reach_of
from panelwright.wiring import wire

EXAMPLES = Path(__file__).parents[2] / "examples"
DO = {"push": ("press", "release"), "field": ("make", "clear"), "trip": ("trip", "reset")}


def circuits_of(name: str) -> tuple[ControlCircuit, ...]:
    """The control circuits of an example."""
    (path,) = EXAMPLES.rglob(f"{name}.panel")
    return control_circuits(job_of(wire(pw.read_file(path).circuit)))


def test_the_heaviest_standing_of_the_lift_station_has_all_that_can_be_on() -> None:
    """On a high level both pumps, both calls, the turn and three lamps are in; and no coil is counted twice."""
    (circuit,) = circuits_of("lift-station")

    assert circuit.reach.exact
    assert circuit.heaviest is not None
    assert set(circuit.heaviest.held) == {
        "K1.coil", "K2.coil", "K7.coil", "Q1.coil", "Q2.coil", "H1.lamp", "H2.lamp", "H3.lamp",
    }  # fmt: skip


def test_contactors_that_interlock_each_other_are_never_held_in_together() -> None:
    """They can be pulled together for a moment, when both buttons are pressed, but only one stays."""
    (circuit,) = circuits_of("c12-hoist-interlocked")

    assert circuit.heaviest is not None
    assert circuit.heaviest.held == ("K1.coil",)
    assert circuit.largest_step is not None
    assert set(circuit.largest_step.pulling) == {"K1.coil", "K2.coil"}


def test_star_and_delta_contactor_are_never_counted_together() -> None:
    """K1 is the star, K3 the delta contactor: one at a time; a slow timer may still pull in behind the first."""
    (circuit,) = circuits_of("c31-star-delta")

    assert not any({"K1.coil", "K3.coil"} <= set(one.held) for one in circuit.moments if not one.pulling)
    assert circuit.largest_step is not None
    assert set(circuit.largest_step.pulling) == {"K2.coil", "T4.coil"}


def test_a_quick_relay_may_call_a_contactor_while_another_still_pulls_in() -> None:
    """Two contactors, the second through a relay: whether the first is in by then hangs on who is quicker."""
    text = """panel "Cascade"
  symbols NA

supplies
  T1  control transformer  480 V / 120 V  150 VA  rails X1 X2  earthed at X2

devices on plate
  1PB  pushbutton  1 NO
  1CR  relay       1 CO     coil 120 V 60 Hz
  1M   contactor   3 poles  coil 120 V 60 Hz  inrush 200 VA  sealed 30 VA
  2M   contactor   3 poles  coil 120 V 60 Hz  inrush 200 VA  sealed 30 VA

rungs from X1 to X2
  1PB.no  @1
  @1  1CR.coil
  @1  1M.coil
  1CR.no  2M.coil
"""
    (circuit,) = control_circuits(job_of(wire(pw.read(text).circuit)))

    assert any({"1M.coil", "2M.coil"} <= set(one.pulling) for one in circuit.moments)
    assert circuit.heaviest is not None
    assert set(circuit.heaviest.held) == {"1CR.coil", "1M.coil", "2M.coil"}


@pytest.mark.parametrize("name", ["lift-station", "c22-two-step-fan", "c27-fan-lockout-timers", "c17-two-stage-washer"])
def test_no_run_in_time_holds_more_than_the_walk_found(name: str) -> None:
    """Random handling of the panel: what is full in the time engine at rest is one of the moments."""
    dice = random.Random(7)
    (circuit,) = circuits_of(name)
    assert circuit.reach.exact
    held = {frozenset(m.held) for m in circuit.reach.moments if m.lasts}
    run = Run(circuit.job.wiring)
    devices = [d for d in run.circuit.devices if d.mechanism.sort in DO]
    for _ in range(150):
        device = dice.choice(devices)
        run.do(Do(dice.choice(DO[device.mechanism.sort]), (device.tag,)))
        run.advance(dice.choice([0.0, 1.0, 60.0]))
        if run.buzz is None and not run._engine.is_moving():
            on = frozenset(e for e in circuit.loads if run.state.solution.load(e).verdict == "full")

            assert on in held


@pytest.mark.parametrize("name", ["lift-station", "c33-annunciator", "cold-store-fan", "c37-mains-generator"])
def test_the_over_estimate_is_never_less_than_what_is_reached(name: str) -> None:
    """With no states allowed the solver answers, and its most is at least the walk's."""
    for circuit in circuits_of(name):
        weights = {e: (abs(circuit.power([e])), abs(circuit.power([], [e]))) for e in circuit.loads}
        loose = reach_of(circuit.standings, weights, most=0)

        assert not loose.exact
        most = max(abs(circuit.power(m.held, m.pulling)) for m in loose.moments)
        assert most >= max(one.va for one in circuit.moments) * (1 - 1e-9)


@pytest.mark.parametrize(
    "name", ["c12-hoist-interlocked", "c27-fan-lockout-timers", "c31-star-delta", "c22-two-step-fan", "lift-station"]
)
@pytest.mark.parametrize("pace", ["nominal", "fast", "slow"])
def test_no_instant_of_a_run_takes_more_than_the_largest_step(name: str, pace: str) -> None:
    """Some relays quick, some slow, handled at random: power at every instant against the most that was walked."""
    dice = random.Random(pace)
    for circuit in circuits_of(name):
        most = max((one.va for one in circuit.moments), default=0.0)
        tags = [device.tag for device in circuit.job.circuit.devices]
        by_tag: dict[str, Pace] = {tag: dice.choice(["nominal", "fast", "slow"]) for tag in tags}
        run = Run(circuit.job.wiring, paces=Paces(pace, by_tag))  # type: ignore[arg-type]
        devices = [d for d in run.circuit.devices if d.mechanism.sort in DO]
        for _ in range(60):
            device = dice.choice(devices)
            run.do(Do(dice.choice(DO[device.mechanism.sort]), (device.tag,)))
            run.advance(dice.choice([0.0, 0.01, 1.0, 60.0]))
        for moment in run.trace.moments:
            on = [e for e in circuit.loads if moment.solution.load(e).verdict == "full"]
            pulling = [e for e in on if not moment.stands[e.partition(".")[0]].is_in]

            assert abs(circuit.power(set(on) - set(pulling), pulling)) <= most * (1 + 1e-9)
