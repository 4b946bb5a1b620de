"""The fuses and breakers that a control supply has before and behind it, and the sizes in which small ones are made."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from ..checks.structure import Structure
from ..circuit import Contact, Fuse, Link, Load
from .answers import amount
from .asking import POSITIVE, asked
from .control_circuits import ControlCircuit
from .factors import factor
from .protection import RatingRow, UsualRow
from .regions import Family
from .tables import TableRow, rows_of

SMALL_A = 12.0  # below it fuses come in finer steps than the standard ones


class SizeRow(TableRow, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """A rating that is made: of control transformers and dc supplies in VA and A, of small fuses in A."""

    kind: str
    rating: float


@dataclass(frozen=True, slots=True)
class FittedFuse:
    """A fuse or breaker of the file."""

    tag: str
    amps: float

    @property
    def text(self) -> str:
        """ "3FU 1.5 A"."""
        return f"{self.tag} {amount(self.amps, 'A')}"


@cache
def usual_fuses(family: Family) -> tuple[float, ...]:
    """Ratings in which fuses are made, amperes, ascending: small ones, then those of the NEC or of IEC 60269-1."""
    small = {row.rating for row in rows_of("supply_sizes", SizeRow) if row.kind == "control fuse"}
    if family == "NEC":
        large = {row.rating_a for row in rows_of("standard_ratings", RatingRow)}
    else:
        large = {row.rating_a for row in rows_of("usual_ratings", UsualRow) if row.kind == "gG fuse"}
    return tuple(sorted({rating for rating in small if rating < SMALL_A} | large))


def usual_fuse(ceiling: float, family: Family = "NEC", *, up: bool = False) -> float:
    """The largest usual rating not above a ceiling; with `up` the smallest not below. Beyond them the ceiling."""
    ratings = usual_fuses(family)
    if up:
        return next((rating for rating in ratings if rating >= ceiling - 1e-9), ceiling)
    return max((rating for rating in ratings if rating <= ceiling + 1e-9), default=ceiling)


@asked(supply_a=POSITIVE)
def largest_clearing_fuse(supply_a: float) -> float:
    """The largest fuse that an electronic supply of this rating can be hoped to clear, amperes."""
    return supply_a * factor("fuse share").value


def fuses_before(circuit: ControlCircuit, primary: Load) -> tuple[FittedFuse, ...]:
    """What protects the primary: the nearest fuse or breaker on the way from each of its ends to the supply."""
    structure, tag = circuit.structure, circuit.device.tag
    found: list[FittedFuse] = []
    for mark in (primary.a, primary.b):
        net = structure.net(f"{tag}.{mark}")
        if net is not None:
            found += _nearest(structure, net)
    return tuple(dict.fromkeys(found))


def _nearest(structure: Structure, net: str) -> list[FittedFuse]:
    """The first fuse on the shortest way from a net to a rail."""
    ways = [way for there, way in structure.reached(net).items() if there in structure.circuit.rails and way]
    for wired in min(ways, key=len, default=[]):
        if isinstance(wired.part, Fuse):
            return [FittedFuse(wired.device.tag, wired.part.amps)]
    return []


def fuses_after(circuit: ControlCircuit) -> tuple[FittedFuse, ...]:
    """The first fuses or breakers behind the terminals of the supply, in front of its loads."""
    structure = circuit.structure
    found: list[FittedFuse] = []
    for rail in circuit.source.rails:
        net = structure.rail_net(circuit.device, circuit.source, rail)
        if net is not None:
            found += _fuses_at(structure, net, circuit)
    return tuple(dict.fromkeys(found))


def loads_without_fuse(circuit: ControlCircuit) -> tuple[str, ...]:
    """Tags of the loads that the live rail, the first one where none is earthed, reaches through contacts alone."""
    structure, source = circuit.structure, circuit.source
    live = [rail for rail in source.rails if rail != source.earthed_at][: None if source.earthed_at else 1]
    nets: set[str] = set()
    for rail in live:
        net = structure.rail_net(circuit.device, source, rail)
        if net is not None:
            nets |= {net, *structure.reached(net, through=(Contact, Link))}
    bare = (wired.device.tag for wired in circuit.loads.values() if {wired.a, wired.b} & nets)
    return tuple(dict.fromkeys(bare))


def _fuses_at(structure: Structure, net: str, circuit: ControlCircuit) -> list[FittedFuse]:
    """Fuses that hang on a net and lead to a load of the circuit."""
    at_loads = {end for wired in circuit.loads.values() for end in (wired.a, wired.b)}
    found = []
    for wired in structure.conducting.get(net, ()):
        if isinstance(wired.part, Fuse):
            beyond = wired.b if wired.a == net else wired.a
            if at_loads & set(structure.reached(beyond)):
                found.append(FittedFuse(wired.device.tag, wired.part.amps))
    return found
