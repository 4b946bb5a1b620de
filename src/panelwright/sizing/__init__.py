"""Sizing: currents, conductors, protection, supplies and parts, each answer with its rule and its arithmetic."""

from .answers import Allowed, Answer, Fitted, Missing, Part, SizingSheet, Working
from .job import Job, job_of
from .regions import Region, region_called, region_of

__all__ = [
    "Allowed",
    "Answer",
    "Fitted",
    "Job",
    "Missing",
    "Part",
    "Region",
    "SizingSheet",
    "Working",
    "job_of",
    "region_called",
    "region_of",
]
