"""Sizing: currents, conductors, protection, supplies and parts, each answer with its rule and its arithmetic.

`panelwright.size(circuit)` sizes a whole panel; the functions here answer single questions.
"""

from .answers import Allowed, Answer, Fitted, Missing, Part, SizingSheet, Working
from .conductors import Conductor, smallest_conductor
from .contacts import category_capacity, code_capacity, smallest_code
from .control import largest_control_device, smallest_on_branch_device
from .control_fuses import largest_clearing_fuse
from .controllers import nema_size
from .dc_supplies import average_and_peak
from .drops import awg_line, drop_v, line_of, smallest_for_drop
from .earthing import earth_for_device, earth_for_line
from .feeders import feeder_device, feeder_load
from .heat import fan_cfm, fan_m3_h, rise_f, rise_k, surface_m2
from .job import Job, job_of
from .long_lines import drop_out_metres, pick_up_metres
from .motors import by_code_letter, synchronous_amps, table_amps
from .outputs import bleeder_ohms, least_load_ohms
from .overloads import overload_row, protector_limit
from .protection import branch_limit, next_size, size_below
from .regions import Region, region_called, region_of, regions
from .safety_life import mttfd_band, mttfd_years, operations_per_year, typical_b10d
from .site import Site, usual_site
from .stock import read_stock
from .suppressors import rc_values
from .tables import OutsideTable, TableError
from .transformer_protection import most_on_primary, transformer_amps, transformer_ceiling
from .transformers import selection_inrush, transformer_by_chart, transformer_by_dip

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
    "average_and_peak",
    "awg_line",
    "bleeder_ohms",
    "branch_limit",
    "by_code_letter",
    "category_capacity",
    "code_capacity",
    "drop_out_metres",
    "drop_v",
    "earth_for_device",
    "earth_for_line",
    "fan_cfm",
    "fan_m3_h",
    "feeder_device",
    "feeder_load",
    "job_of",
    "largest_clearing_fuse",
    "largest_control_device",
    "least_load_ohms",
    "line_of",
    "most_on_primary",
    "mttfd_band",
    "mttfd_years",
    "nema_size",
    "next_size",
    "operations_per_year",
    "overload_row",
    "pick_up_metres",
    "protector_limit",
    "rc_values",
    "read_stock",
    "region_called",
    "region_of",
    "regions",
    "rise_f",
    "rise_k",
    "selection_inrush",
    "size_below",
    "smallest_code",
    "smallest_conductor",
    "smallest_for_drop",
    "smallest_on_branch_device",
    "surface_m2",
    "synchronous_amps",
    "table_amps",
    "transformer_amps",
    "transformer_by_chart",
    "transformer_by_dip",
    "transformer_ceiling",
    "typical_b10d",
    "usual_site",
]
