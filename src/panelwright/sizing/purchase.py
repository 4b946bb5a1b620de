"""From a wired panel to its parts list, and to what a stock list has for it."""

from __future__ import annotations

from ..wiring import Wiring
from .choosing import Choice, choose
from .contacts import ContactLoad, contact_loads
from .control_circuits import control_circuits
from .job import job_of
from .parts_list import PartsList, parts_of
from .sheet import size
from .stock import Stock


def parts_list(wiring: Wiring, *, spares: bool = True) -> PartsList:
    """What the panel is made of, with the ratings that its sizing asks for."""
    return parts_of(wiring, size(wiring), spares=spares)


def chosen(wiring: Wiring, parts: PartsList, stock: Stock) -> Choice:
    """The cheapest parts of a stock list for it; contacts have to bear what the simulated circuit asks of them."""
    loads: dict[str, tuple[ContactLoad, float, bool]] = {}
    for circuit in control_circuits(job_of(wiring)):
        for load in contact_loads(circuit):
            loads[load.element] = (load, circuit.volts, circuit.is_dc)
    return choose(parts, stock, loads)
