"""The start-stop circuit with two lamps, wired from beginning to end."""

from dataclasses import replace

from panelwright.circuit import Circuit, Use
from panelwright.wiring import wire
from panelwright.wiring.parts import with_uses
from panelwright.wiring.seats import seats_of
from tests.panels import well_pump


def as_written() -> Circuit:
    """The well pump with every contact left open."""
    pump = well_pump(allotted=False)
    uses = iter([replace(seat.use, terminals=None, name="") for seat in seats_of(pump)])
    return replace(pump, rungs=tuple(replace(r, body=with_uses(r.body, uses)) for r in pump.rungs))


def ends(uses: list[Use]) -> dict[str, tuple[str, str] | None]:
    """Part as written to terminals."""
    return {f"{u.device}.{u.part}": u.terminals for u in uses}


def test_contacts_are_allotted_as_a_wireman_would():
    """Hold-in on the first pole, both lamps on the shared second one (common practice, no source)."""
    uses = [seat.use for seat in seats_of(wire(as_written()).circuit)]

    assert {
        "S1.nc": ("11", "12"),
        "S2.no": ("13", "14"),
        "K1.no1": ("9", "5"),
        "K1.coil": ("13", "14"),
        "K1.no": ("12", "8"),
        "H1.": ("X1", "X2"),
        "K1.nc": ("12", "4"),
        "H2.": ("X1", "X2"),
    } == ends(uses)


def test_eleven_wires():
    """One relay base and eleven wires (common practice, no source)."""
    wiring = wire(as_written())

    assert 11 == len(wiring.wires)
    assert (2 + 2, 2 + 2) == (wiring.poles_used, wiring.poles_bound)
    assert () == wiring.shortages


def test_asking_again_is_free():
    """The circuit carries its wiring along."""
    circuit = as_written()

    assert wire(circuit) is wire(circuit)
