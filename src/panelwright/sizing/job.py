"""What sizing works from: the wired panel, the code it is under, and what the file says of the site."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

from ..circuit import Circuit
from ..wiring import Wiring
from .regions import Region, region_of
from .site import Site, site_of


@dataclass(frozen=True)
class Job:
    """One panel to be sized."""

    wiring: Wiring
    region: Region
    site: Site

    @cached_property
    def circuit(self) -> Circuit:
        """The circuit, with every contact allotted."""
        return self.wiring.circuit

    @property
    def american(self) -> bool:
        """Whether the rules of the NEC hold."""
        return self.region.family == "NEC"


def job_of(wiring: Wiring) -> Job:
    """The job that a wired panel is."""
    region = region_of(wiring.circuit)
    return Job(wiring, region, site_of(wiring.circuit, region))
