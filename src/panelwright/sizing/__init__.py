"""Sizing: currents, conductors, protection, supplies and parts, each answer with its rule and its arithmetic.

`panelwright.size(circuit)` sizes a whole panel; the functions here answer single questions.
"""

from .answers import Allowed, Answer, Fitted, Missing, Part, SizingSheet, Working
from .conductors import Conductor, smallest_conductor
from .controllers import nema_size
from .drops import awg_line, drop_v, line_of
from .earthing import earth_for_device, earth_for_line
from .feeders import feeder_device, feeder_load
from .heat import fan_cfm, fan_m3_h, rise_f, rise_k, surface_m2
from .job import Job, job_of
from .motors import by_code_letter, synchronous_amps, table_amps
from .overloads import overload_row, protector_limit
from .protection import branch_limit, next_size, size_below
from .regions import Region, region_called, region_of, regions
from .safety_life import mttfd_band, mttfd_years, operations_per_year, typical_b10d
from .site import Site, usual_site
from .tables import OutsideTable, TableError

__all__ = [
    "Allowed",
    "Answer",
    "Conductor",
    "Fitted",
    "Job",
    "Missing",
    "OutsideTable",
    "Part",
    "Region",
    "Site",
    "SizingSheet",
    "TableError",
    "Working",
    "awg_line",
    "branch_limit",
    "by_code_letter",
    "drop_v",
    "earth_for_device",
    "earth_for_line",
    "fan_cfm",
    "fan_m3_h",
    "feeder_device",
    "feeder_load",
    "job_of",
    "line_of",
    "mttfd_band",
    "mttfd_years",
    "nema_size",
    "next_size",
    "operations_per_year",
    "overload_row",
    "protector_limit",
    "region_called",
    "region_of",
    "regions",
    "rise_f",
    "rise_k",
    "size_below",
    "smallest_conductor",
    "surface_m2",
    "synchronous_amps",
    "table_amps",
    "typical_b10d",
    "usual_site",
]
