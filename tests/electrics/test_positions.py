"""Which contacts are closed, and the first circuit solved."""

from __future__ import annotations

import pytest

from panelwright.circuit import Contact
from panelwright.electrics import DeviceState, Network, is_closed, operated, position_of
from tests.panels import well_pump


@pytest.mark.parametrize(
    ("form", "stage", "closed"),
    [
        ("no", "rest", False),
        ("no", "moving", False),
        ("no", "operated", True),
        ("nc", "rest", True),
        ("nc", "moving", False),
        ("nc", "operated", False),
    ],
)
def test_a_change_over_breaks_before_it_makes(form: str, stage: str, closed: bool) -> None:
    """While a mechanism moves, neither of its contacts conducts."""
    contact = Contact("9-5", "9", "5", form)  # type: ignore[arg-type]

    assert is_closed(contact, DeviceState(stage)) == closed  # type: ignore[arg-type]


def test_timed_contacts_move_apart_from_instant_ones() -> None:
    """A timer whose time runs has its instant contact closed and its timed one open."""
    running = DeviceState("operated", timed="rest")

    assert is_closed(Contact("13-14", "13", "14", "no", timing="instant"), running)
    assert not is_closed(Contact("67-68", "67", "68", "no", timing="timed"), running)


def test_a_selector_between_two_positions_closes_nothing() -> None:
    """While the handle passes, no contact of a selector conducts."""
    contact = Contact("13-14", "13", "14", "at", positions=frozenset({"HAND", "AUTO"}))

    assert [is_closed(contact, DeviceState(at=at)) for at in ("HAND", "", "OFF")] == [True, False, False]


def test_start_stop_holds_itself_in() -> None:
    """Released and at rest nothing runs; with the relay in, the hold-in contact keeps the coil at full volts."""
    circuit = well_pump()
    network = Network(circuit)
    rest = network.solve(position_of(circuit, {}))
    held = network.solve(position_of(circuit, operated("K1")))
    stopped = network.solve(position_of(circuit, operated("K1", "S1")))

    assert [s.load("K1.coil").verdict for s in (rest, held, stopped)] == ["none", "full", "none"]
    assert held.load("K1.coil").acting_v == 24
    assert held.load("H1.lamp").verdict == "full"
    assert held.amps("K1.9-5").dc == pytest.approx(24 / 650)
    assert stopped.volts("K1.13").dc == 0
