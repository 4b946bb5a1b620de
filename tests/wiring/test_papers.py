"""What is handed to the technician: the list to tick off, the terminal plan, the changes, the JSON."""

from __future__ import annotations

import json
from dataclasses import replace

from panelwright.circuit import Cable, Circuit, Quantity, Rung, Series, Through, Use
from panelwright.wiring import (
    Moved,
    StripTerminal,
    as_json,
    changes,
    changes_report,
    report,
    rewire,
    strip_plan,
    wire,
)
from tests.wiring.circuits import button, lamp, relay, strip, supply
from tests.wiring.test_well_pump import as_written


def test_the_report_of_the_well_pump() -> None:
    """Word for word: caution first, contacts, wires by stage with boxes, what is free."""
    assert """\
Wiring: Orchard well pump
Isolate, lock and prove dead before touching a conductor. Local codes and a licensed person decide;
this list follows the drawing and knows nothing of what else is in the panel.

CONTACTS
  S1  nc   11-12  rung 1  Run, held in by K1
  S2  no   13-14  rung 1  Run, held in by K1
  K1  no1  9-5    rung 1  Run, held in by K1
  K1  no   12-8   rung 2  Running
  K1  nc   12-4   rung 3  Stopped
  4 poles in use; less is not possible.

WIRES, in order of work (11)   boxes: laid, checked
  On plate (3)
    [ ] [ ]    1  +  G1.+ - K1.12
    [ ] [ ]    2  -  K1.14 - G1.-
    [ ] [ ]    3  2  K1.13 - K1.5
  On door, from its inside: left and right are exchanged (2)
    [ ] [ ]    4  -  H2.X2 - H1.X2
    [ ] [ ]    5  1  S2.13 - S1.12
  From plate to door (6)
    [ ] [ ]    6  +  G1.+ - S1.11
    [ ] [ ]    7  -  G1.- - H1.X2
    [ ] [ ]    8  4  K1.4 - H2.X1
    [ ] [ ]    9  2  K1.5 - S2.14
    [ ] [ ]   10  3  K1.8 - H1.X1
    [ ] [ ]   11  1  K1.9 - S1.12
  11 conductors; less is not possible.
  6 from place to place; less is not possible.

FREE CONTACTS
  K1  9-1 NC (its common is in use)
""" == report(wire(as_written()))


def test_the_json_has_the_wires_with_number_and_ends() -> None:
    """Plain values that json can write; the hold-in contact starts on wire 1."""
    values = json.loads(json.dumps(as_json(wire(as_written()))))
    found = [w for w in values["wires"] if "K1.9" in w["ends"]]

    assert [("1", ["K1.9", "S1.12"])] == [(w["number"], w["ends"]) for w in found]
    assert 11 == len(values["wires"]) == values["conductors"]


def field_panel() -> Circuit:
    """A float switch in the pit on a cable from a strip."""
    cable = Cable("W1", "3 x 1.5 mm2", Quantity(42, "m", "42 m"), "X1", ("S1",))
    body = (Through("X1", "1"), Use("S1", "no", "no"), Through("X1", "2"), Use("K1", "coil"))
    devices = (supply(), strip("X1"), relay("K1", 2, 0, 0), button("S1", "pit"))
    return Circuit(devices=devices, rungs=(Rung("+", "-", Series(body), "Level"),), cables=(cable,))


def test_the_terminal_plan_shows_both_sides() -> None:
    """Panel wire inside, core outside; free terminals are there too."""
    plan = strip_plan(wire(field_panel()))["X1"]

    assert StripTerminal("X1.1", "+", ("G1.+",), ("S1.13",), ("W1 core 1",)) == plan[0]
    assert StripTerminal("X1.2", "1", ("K1.A1",), ("S1.14",), ("W1 core 2",)) == plan[1]
    assert StripTerminal("X1.3", "", (), (), ()) == plan[2]


def test_a_lamp_added_to_a_built_panel() -> None:
    """Nothing is taken out; three wires come in."""
    old = wire(field_panel())
    more = Rung("+", "-", Series((Use("K1", "no", "no"), Use("H1", ""))), "In")
    circuit = replace(field_panel(), rungs=(more, *field_panel().rungs))
    new = rewire(replace(circuit, devices=(*circuit.devices, lamp("H1", "plate"))), old)
    found = changes(old, new)

    assert (0, 0, 3, 0, 5) == (len(found.take_out), len(found.move), len(found.put_in), len(found.relabel), found.kept)
    assert "CHANGES (5 wires stay)\n  [ ] put in         +  " in changes_report(found)


def test_a_wire_that_keeps_one_end_is_moved() -> None:
    """The core stays at the float; its other end goes to another terminal."""
    old = wire(field_panel())
    body = (Through("X1", "1"), Use("S1", "no", "no"), Through("X1", "3"), Use("K1", "coil"))
    new = rewire(replace(field_panel(), rungs=(Rung("+", "-", Series(body), "Level"),)), old)
    found = changes(old, new)

    assert {("S1.14", "X1.2", "X1.3"), ("K1.A1", "X1.2", "X1.3")} == {(m.stays, m.was, m.becomes) for m in found.move}
    assert all(isinstance(m, Moved) for m in found.move)


def test_no_change_is_said_in_words() -> None:
    """An empty list would look like a failure."""
    wiring = wire(as_written())

    assert "CHANGES (11 wires stay)\n  Nothing changes.\n" == changes_report(changes(wiring, wiring))
