"""The sizing sheet of a panel: power side and control side, what was taken for granted, the cautions."""

from __future__ import annotations

from collections.abc import Iterator

from ..wiring import Wiring
from .answers import SizingSheet
from .control_side import control_parts
from .job import Job, job_of
from .power_side import power_parts
from .site import unused_lines

CAUTIONS = (
    "These are the smallest, or the largest, that the rules named here allow; local codes, the nameplates, the makers' "
    "instructions and the responsible licensed person decide.",
    "A figure marked [from memory] was not read in its source by us: look it up before anything is approved with it.",
    "Only what stands in the panel file is known. Isolate, lock and prove dead before work.",
)


def size(wiring: Wiring) -> SizingSheet:
    """Size everything in a wired panel. What the file does not tell is asked for; the rest is sized."""
    job = job_of(wiring)
    parts = (*power_parts(job), *control_parts(job))
    heading = wiring.circuit.heading
    return SizingSheet(heading.title, f"{job.region.name}: {job.region.says}", parts, tuple(_taken(job)), CAUTIONS)


def _taken(job: Job) -> Iterator[str]:
    if job.region.taken:
        yield job.region.taken
    yield from job.site.taken
    yield from unused_lines(job.site, job.region)
    yield "copper conductors"
