"""Sizing: currents, conductors, protection, supplies and parts, each answer with its rule and its arithmetic.

`panelwright.size(circuit)` sizes a whole panel; the functions here answer single questions.
"""

from .answers import Allowed, Answer, Fitted, Missing, Part, SizingSheet, Working
from .asking import AskedWrongly
from .conductors import Conductor, in_parallel, smallest_conductor
from .contacts import category_capacity, code_capacity, smallest_code
from .control import largest_control_device, smallest_on_branch_device
from .control_fuses import largest_clearing_fuse
from .controllers import nema_size
from .dc_supplies import average_and_peak
from .drops import awg_line, drop_v, line_of, smallest_for_drop
from .earthing import earth_for_device, earth_for_line
from .fault_loop import earth_fault_seconds, longest_loop_m, opens_at, supply_loop_ohms
from .feeder_disconnect import equivalent_hp
from .feeder_loads import Share
from .feeders import feeder_device, feeder_load
from .groups import group_limit, small_group_device
from .heat import fan_cfm, fan_m3_h, rise_f, rise_k, surface_m2
from .job import Job, job_of
from .long_lines import drop_out_metres, pick_up_metres
from .motors import by_code_letter, synchronous_amps, table_amps
from .outputs import bleeder_ohms, least_load_ohms
from .overloads import overload_row, protector_limit
from .performance import average_coverage, coverage_band, performance_level, required_level, sil_of
from .protection import branch_limit, next_size, size_below
from .regions import Region, region_called, region_of, regions
from .safety_life import mttfd_band, mttfd_years, operations_per_year, typical_b10d
from .site import Site, usual_site
from .stock import read_stock
from .suppressors import rc_values
from .tables import OutsideTable, TableError
from .torque import slot_torque_nm, socket_torque_nm
from .transformer_protection import most_on_primary, transformer_amps, transformer_ceiling
from .transformers import selection_inrush, transformer_by_chart, transformer_by_dip

__all__ = [
    "Allowed",
    "Answer",
    "AskedWrongly",
    "Conductor",
    "Fitted",
    "Job",
    "Missing",
    "OutsideTable",
    "Part",
    "Region",
    "Share",
    "Site",
    "SizingSheet",
    "TableError",
    "Working",
    "average_and_peak",
    "average_coverage",
    "awg_line",
    "bleeder_ohms",
    "branch_limit",
    "by_code_letter",
    "category_capacity",
    "code_capacity",
    "coverage_band",
    "drop_out_metres",
    "drop_v",
    "earth_fault_seconds",
    "earth_for_device",
    "earth_for_line",
    "equivalent_hp",
    "fan_cfm",
    "fan_m3_h",
    "feeder_device",
    "feeder_load",
    "group_limit",
    "in_parallel",
    "job_of",
    "largest_clearing_fuse",
    "largest_control_device",
    "least_load_ohms",
    "line_of",
    "longest_loop_m",
    "most_on_primary",
    "mttfd_band",
    "mttfd_years",
    "nema_size",
    "next_size",
    "opens_at",
    "operations_per_year",
    "overload_row",
    "performance_level",
    "pick_up_metres",
    "protector_limit",
    "rc_values",
    "read_stock",
    "region_called",
    "region_of",
    "regions",
    "required_level",
    "rise_f",
    "rise_k",
    "selection_inrush",
    "sil_of",
    "size_below",
    "slot_torque_nm",
    "small_group_device",
    "smallest_code",
    "smallest_conductor",
    "smallest_for_drop",
    "smallest_on_branch_device",
    "socket_torque_nm",
    "supply_loop_ohms",
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
