"""Single questions in Python: each is answered, and a wrong value is told with where, what, why and how to mend it."""

from __future__ import annotations

import inspect
import math
from collections.abc import Iterator
from typing import Any

import pytest

from panelwright import sizing
from panelwright.catalog.site import named, site_words
from panelwright.sizing.site import Enclosure

NEC, IEC = sizing.region_called("NEC 2023"), sizing.region_called("IEC 60204-1")
assert NEC is not None
assert IEC is not None
SITE, STANDING = sizing.usual_site(NEC), named(site_words().standing, "free")
LINE = sizing.awg_line("12")

# One right call of every question.
CALLS: dict[str, dict[str, Any]] = {
    "average_and_peak": {"loads": [(10, 1), (6.5, 0.5)], "volts": 24},
    "average_coverage": {"parts": [(0.99, 60), (0.9, 100)]},
    "awg_line": {"size": "12"},
    "bleeder_ohms": {"volts": 230, "leakage_a": 0.0017, "load_ohms": 250e3, "off_v": 40},
    "branch_limit": {"amps": 22, "device": "inverse_time_breaker", "region": NEC},
    "by_code_letter": {"hp": 5, "volts": 480, "letter": "J"},
    "category_capacity": {"category": "AC-15", "rated_a": 3},
    "code_capacity": {"code": "A300", "volts": 120},
    "coverage_band": {"share": 0.9},
    "drop_out_metres": {
        "volts": 230, "hertz": 50, "held_va": 8, "drop_out_share": 0.2, "farads_a_metre": 0.26e-9,
    },
    "drop_v": {"amps": 10, "length_m": 30, "line": LINE, "times": 2, "power_factor": 0.85},
    "earth_fault_seconds": {"volts_to_earth": 230},
    "earth_for_device": {"device_a": 20},
    "earth_for_line": {"line_mm2": 2.5},
    "equivalent_hp": {"full_a": 75, "held_a": 409, "volts": 480},
    "fan_cfm": {"watts": 500, "rise_in_f": 27},
    "fan_m3_h": {"watts": 500, "rise_in_k": 15},
    "feeder_device": {"shares": [sizing.Share("M1", 34, 90), sizing.Share("M2", 27, 70)]},
    "feeder_load": {"motors": [34, 27, 14], "others": 3},
    "group_limit": {"first": sizing.branch_limit(7.6, "time_delay_fuse", NEC), "others": [4.8]},
    "in_parallel": {"needed_a": 700, "region": NEC, "site": SITE},
    "largest_clearing_fuse": {"supply_a": 5},
    "largest_control_device": {"size": "14", "how": "separate", "region": NEC},
    "least_load_ohms": {"volts": 24, "load_a": 0.002, "least_a": 0.005},
    "line_of": {"size": "2.5 mm2", "celsius": 70},
    "longest_loop_m": {"volts_to_earth": 230, "opens_a": 160, "supply_ohms": 0.5, "loop_ohm_m": 0.02},
    "most_on_primary": {"conductor_a": 20, "secondary_v": 120, "primary_v": 480},
    "mttfd_band": {"years": 45},
    "mttfd_years": {"b10d": 20e6, "per_year": 300e3},
    "nema_size": {"hp": 5, "volts": 480},
    "next_size": {"amps": 13.3, "fuses": True},
    "operations_per_year": {"every_s": 30, "hours_per_day": 16, "days_per_year": 220},
    "opens_at": {"rating_a": 16, "sort": "C curve", "seconds": 0.4},
    "overload_row": {"service_factor": 1.15, "rise_c": None},
    "performance_level": {"category": "3", "coverage": 0.9, "mttfd_years": 40},
    "pick_up_metres": {"drop_percent": 10, "inrush_va": 200, "volts": 120, "area_mm2": 2.08},
    "protector_limit": {"amps": 7.6},
    "rc_values": {"volts": 230, "amps": 0.05},
    "required_level": {"severity": 2, "exposure": 1, "avoiding": 1},
    "rise_f": {"watts": 100, "area_ft2": 12},
    "rise_k": {"watts": 100, "surface_m2": 1.2, "w_m2_k": 5.5},
    "selection_inrush": {"sealed_va": 28, "inrush_va": 200},
    "sil_of": {"level": "d"},
    "size_below": {"amps": 131, "fuses": False},
    "slot_torque_nm": {"length_mm": 4, "wide": True},
    "small_group_device": {"hp": [1, 0.5], "amps": [2.1, 1.1], "volts": 480},
    "smallest_code": {"volts": 120, "make_a": 1.6, "break_a": 0.24, "dc": False},
    "smallest_conductor": {"needed_a": 27.5, "region": NEC, "site": SITE},
    "smallest_for_drop": {
        "amps": 10, "length_m": 90, "most_v": 7, "region": NEC, "site": SITE, "times": 2, "power_factor": 0.85,
    },
    "smallest_on_branch_device": {"device_a": 15, "how": "inside", "region": NEC},
    "socket_torque_nm": {"width_mm": 4},
    "supply_loop_ohms": {"device_a": 16},
    "surface_m2": {"box": Enclosure(0.8, 0.6, 0.25), "standing": STANDING},
    "synchronous_amps": {"hp": 50, "volts": 460, "power_factor": 0.8},
    "table_amps": {"hp": 5, "volts": 460},
    "transformer_amps": {"va": 150, "volts": 120},
    "transformer_by_chart": {"sealed_va": 28, "inrush_va": 202},
    "transformer_by_dip": {"held_va": 28, "inrush_va": 200},
    "transformer_ceiling": {"scheme": "primary and secondary", "side": "secondary", "amps": 1.25},
    "typical_b10d": {"part": "relay with nominal load"},
    "usual_site": {"region": NEC, "ambient_c": 40, "terminals_c": 75, "loaded": 6},
}  # fmt: skip
NOT_QUESTIONS = {"job_of", "read_stock", "region_called", "region_of", "regions"}  # they take panels, texts or nothing


def test_every_question_is_tried() -> None:
    """Whatever the package offers as a question stands in the list above."""
    offered = {name for name in sizing.__all__ if inspect.isfunction(getattr(sizing, name))}

    assert offered - NOT_QUESTIONS == set(CALLS)


@pytest.mark.parametrize("name", CALLS)
def test_a_right_question_is_answered(name: str) -> None:
    """The calls above are right ones."""
    assert getattr(sizing, name)(**CALLS[name]) is not None


def wrong_numbers() -> Iterator[tuple[str, str, object]]:
    """Every number of every call, as what it must not be."""
    for name, call in CALLS.items():
        for argument, value in call.items():
            if isinstance(value, int | float) and not isinstance(value, bool):
                for wrong in (math.nan, math.inf, -1e9, "5 A", None):
                    optional = wrong is None and (name, argument) in OPTIONAL
                    if not optional:
                        yield name, argument, wrong


OPTIONAL = {("overload_row", "service_factor"), ("usual_site", "ambient_c"), ("usual_site", "terminals_c"),
            ("usual_site", "loaded")}  # fmt: skip


@pytest.mark.parametrize(("name", "argument", "wrong"), tuple(wrong_numbers()))
def test_a_wrong_number_is_told(name: str, argument: str, wrong: object) -> None:
    """Not a number, endless, far below nothing, with a unit, missing: the message says where, what, and a right one."""
    with pytest.raises(sizing.AskedWrongly) as told:
        getattr(sizing, name)(**(CALLS[name] | {argument: wrong}))

    assert str(told.value).startswith(f"{name}: {argument} is {wrong!r}; it ")
    assert f"{argument}=" in str(told.value) or "There are " in str(told.value)


WORDS = [
    ("code_capacity", "code", "A301", "Did you mean 'A300'?"),
    ("category_capacity", "category", "AC15", "Did you mean 'AC-15'?"),
    ("branch_limit", "device", "breaker", "inverse_time_breaker"),
    ("branch_limit", "motor", "induction", "three-phase"),
    ("branch_limit", "region", IEC, "NEC 2023"),
    ("smallest_conductor", "region", None, "region_called"),
    ("smallest_conductor", "metal", "aluminium", "cu, al"),
    ("smallest_conductor", "terminals_c", 80, "60.0, 75.0, 90.0"),
    ("usual_site", "insulation", "THNH", "Did you mean 'THHN'?"),
    ("usual_site", "method", "Z", "B1, B2, C, E"),
    ("usual_site", "loaded", 2.5, "whole number"),
    ("line_of", "size", "2.5", "14 AWG, 250 kcmil, 2.5 mm2"),
    ("awg_line", "conduit", "copper", "pvc, al, steel"),
    ("largest_control_device", "size", "13", "18, 16, 14"),
    ("largest_control_device", "how", "seperate", "Did you mean 'separate'?"),
    ("transformer_ceiling", "scheme", "both", "primary only"),
    ("transformer_ceiling", "side", "tertiary", "secondary"),
    ("opens_at", "sort", "gg", "Did you mean 'gG'?"),
    ("typical_b10d", "part", "lamp", "emergency stop device"),
    ("performance_level", "category", 3, "There are B, 1, 2, 3, 4"),
    ("sil_of", "level", "f", "There are a, b, c, d, e"),
    ("average_coverage", "parts", [(0.99, 0)], "[(0.99, 60), (0.9, 100)]"),
    ("feeder_load", "motors", [34, -1], "motors=[7.5, 4]"),
    ("feeder_device", "shares", [], "a Share for each load"),
    ("average_and_peak", "loads", [(10, 2)], "[(10, 1), (6.5, 0.5)]"),
]


@pytest.mark.parametrize(("name", "argument", "wrong", "mend"), WORDS)
def test_a_wrong_word_is_told(name: str, argument: str, wrong: object, mend: str) -> None:
    """The nearest that is known, or all."""
    with pytest.raises(sizing.AskedWrongly) as told:
        getattr(sizing, name)(**(CALLS[name] | {argument: wrong}))

    assert mend in str(told.value)


def test_a_site_of_another_code_is_told() -> None:
    """A site made for the NEC has no method of laying; IEC tables go by it."""
    other = sizing.region_called("IEC 60204-1")
    assert other is not None
    with pytest.raises(sizing.AskedWrongly, match="made for another code than IEC 60204-1:2016"):
        sizing.smallest_conductor(20, other, SITE)


def test_a_rating_that_the_tables_lack_is_told_with_what_they_have() -> None:
    """400 V is no column of the NEC's motor tables."""
    with pytest.raises(sizing.OutsideTable, match="no 5 hp at 400 V; their columns serve 110 to 120, "):
        sizing.table_amps(5, 400)
