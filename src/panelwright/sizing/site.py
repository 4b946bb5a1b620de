"""The site: ambient temperature, terminals, insulation, bundling, fault current; said in the file or taken."""

from __future__ import annotations

from dataclasses import dataclass

from ..circuit import Circuit
from .regions import Region


@dataclass(frozen=True, slots=True)
class Site:
    """Conditions that every choice of a conductor hangs on. `said`: names of those that the file says.

    `insulation_c`: temperature that the insulation bears. `loaded`: current-carrying conductors (NEC) or circuits
    (IEC) that run together. `fault_ka`: current that the supply can give at the panel; None when not said.
    """

    ambient_c: float
    terminals_c: float
    insulation: str
    insulation_c: float
    method: str
    loaded: int
    drop_percent: float
    fault_ka: float | None = None
    said: tuple[str, ...] = ()

    def is_said(self, name: str) -> bool:
        """Whether the file says it, or it was taken."""
        return name in self.said


def site_of(circuit: Circuit, region: Region) -> Site:
    """What the file says of the site, the usual values of the code where it is silent."""
    if region.family == "NEC":
        return Site(30.0, 60.0, "THHN", 90.0, "", 3, 3.0)
    return Site(40.0, 70.0, "PVC", 70.0, "B2", 1, 5.0)
