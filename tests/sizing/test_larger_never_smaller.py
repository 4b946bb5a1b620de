"""A larger motor or a longer run never gets a smaller conductor, device, contactor, switch or overload range."""

from __future__ import annotations

import re
from functools import cache
from itertools import pairwise
from math import inf

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from panelwright.sizing import (
    OutsideTable,
    Region,
    SizingSheet,
    nema_size,
    region_called,
    smallest_conductor,
    smallest_for_drop,
    table_amps,
    transformer_by_chart,
    transformer_by_dip,
    usual_site,
)
from panelwright.sizing.conductors import MethodRow
from panelwright.sizing.control_fuses import usual_fuse
from panelwright.sizing.tables import rows_of
from panelwright.sizing.transformers import next_made

from .motor_panels import one, simple


def code(name: str) -> Region:
    """A code by its name."""
    found = region_called(name)
    assert found is not None
    return found


CODES = [code(name) for name in ("NEC 2023", "NEC 2017", "IEC 60204-1", "IEC 60364")]
NAMES = [one.name for one in CODES]
AMPS = st.floats(0.5, 100)


# ---- runs
@pytest.mark.parametrize("region", CODES, ids=NAMES)
@settings(max_examples=150, deadline=None)
@given(st.data())
def test_a_longer_run_never_gets_a_smaller_conductor(region: Region, data: st.DataObject) -> None:
    """At any power factor, on dc, one phase or three; nor does a larger current on the same run."""
    near, far = sorted(data.draw(st.tuples(st.floats(1, 500), st.floats(1, 500))))
    light, heavy = sorted(data.draw(st.tuples(AMPS, AMPS)))
    factor, dc = data.draw(st.floats(0.2, 1)), data.draw(st.booleans())
    site = usual_site(region)

    def area(amps: float, metres: float) -> float:
        times = 2.0 if dc else 3**0.5
        try:
            return smallest_for_drop(
                amps, metres, 12.0, region, site, times=times, power_factor=1.0 if dc else factor, dc=dc
            ).area_mm2
        except OutsideTable:
            return inf

    assert area(light, near) <= area(light, far)
    assert area(light, near) <= area(heavy, near)


@pytest.mark.parametrize("method", ["B2", "B1", "C", "E"])
@pytest.mark.parametrize("name", ["IEC 60204-1", "IEC 60364"])
def test_every_size_carries_its_own_row(name: str, method: str) -> None:
    """A load of just what a row prints is carried by that row, one a hundredth above it by the next."""
    region = code(name)
    site = usual_site(region, method=method)
    rows = rows_of("ampacity_installation" if name == "IEC 60364" else "ampacity_machine", MethodRow)
    for row, larger in pairwise(rows):
        amps: float = getattr(row, f"a_{method.lower()}")

        assert row.area_mm2 == smallest_conductor(amps, region, site).area_mm2
        assert larger.area_mm2 == smallest_conductor(amps * 1.01, region, site).area_mm2


# ---- motors, by whole sheets
NEVER_SMALLER = (
    "full-load current",
    "branch conductor",
    "branch device",
    "overload setting",
    "disconnect",
    "contactor",
)


@cache
def nec_sheet(hp: float) -> SizingSheet:
    """A motor at 460 V with nothing chosen yet; its nameplate says what the table does."""
    amps = table_amps(hp, 460)
    return simple(f"{hp:.6g} hp  460 V  {amps:g} A", fuse="600 A slow", overload=f"{amps:g} A to {2 * amps:g} A")


@cache
def iec_sheet(kw: float) -> SizingSheet:
    """A motor at 400 V by its guide current."""
    return simple(
        f"{kw:.6g} kW  400 V", fuse="630 A", overload="300 A to 900 A", rules="rules IEC 60204-1", mains="400 V 50 Hz",
        wire="2.5 mm2", site="  ambient 40 C",
    )  # fmt: skip


def sizes(sheet: SizingSheet) -> list[tuple[int, float]]:
    """What was chosen for M1 and its contactor: how many in parallel, and which; beyond the tables any size.

    A NEMA size has no value: its order is tested by itself.
    """
    found = []
    for question in NEVER_SMALLER:
        answer = one(sheet, "Q1" if question == "contactor" else "M1", question)
        several = re.match(r"(\d+) x ", answer.choice)
        count = int(several[1]) if several else 1
        found.append((count, answer.value) if answer.value is not None else (0 if answer.choice else 99, inf))
    return found


@settings(max_examples=40, deadline=None)
@given(st.floats(0.5, 200), st.floats(0.5, 200))
def test_a_larger_nec_motor_never_gets_less(lower: float, higher: float) -> None:
    """Between the rows of the table too; on either side of the 100 A at which the column of terminals changes."""
    lower, higher = sorted((lower, higher))
    small, large = sizes(nec_sheet(lower)), sizes(nec_sheet(higher))
    if 1.25 * small[0][1] <= 100 < 1.25 * large[0][1]:
        small[1] = large[1]

    assert all(before <= after for before, after in zip(small, large, strict=True)), (small, large)


@settings(max_examples=40, deadline=None)
@given(st.floats(0.06, 132), st.floats(0.06, 132))
def test_a_larger_iec_motor_never_gets_less(lower: float, higher: float) -> None:
    """Between the rows of the guide too."""
    lower, higher = sorted((lower, higher))
    small, large = sizes(iec_sheet(lower)), sizes(iec_sheet(higher))

    assert all(before <= after for before, after in zip(small, large, strict=True)), (small, large)


@pytest.mark.parametrize(("volts", "phases"), [(200, 3), (230, 3), (460, 3), (575, 3), (115, 1), (230, 1)])
@pytest.mark.parametrize("jogging", [False, True])
@settings(max_examples=60, deadline=None)
@given(st.floats(0.1, 700), st.floats(0.1, 700))
def test_a_larger_motor_never_gets_a_smaller_nema_size(
    volts: float, phases: int, jogging: bool, lower: float, higher: float
) -> None:
    """By horsepower at every voltage; jogging never makes it smaller."""

    def order(hp: float, jogs: bool) -> float:
        found = nema_size(hp, volts, phases=phases, jogging=jogs)
        return inf if found is None else -1.0 if found[0] == "00" else float(found[0])

    lower, higher = sorted((lower, higher))

    assert order(lower, jogging) <= order(higher, jogging)
    assert order(lower, False) <= order(lower, jogging)


# ---- control circuits
@settings(max_examples=150, deadline=None)
@given(st.floats(1, 900), st.floats(1, 900), st.floats(0, 9000), st.floats(0, 9000), st.booleans())
def test_a_heavier_burden_never_gets_a_smaller_transformer(
    sealed: float, more: float, inrush: float, surge: float, steady: bool
) -> None:
    """By the chart and by the dip; a supply that moves more never gets a smaller one."""

    def chart(sealed_va: float, inrush_va: float, steady: bool) -> float:
        row = transformer_by_chart(sealed_va, inrush_va, steady=steady)
        return inf if row is None else row.va

    assert chart(sealed, inrush, steady) <= chart(sealed + more, inrush + surge, steady)
    assert chart(sealed, inrush, True) <= chart(sealed, inrush, False)
    assert transformer_by_dip(sealed, inrush) <= transformer_by_dip(sealed + more, inrush + surge)


@settings(max_examples=150, deadline=None)
@given(st.floats(0.05, 500), st.floats(0.05, 500), st.sampled_from(["NEC", "IEC"]), st.booleans())
def test_usual_fuses_and_supplies_keep_their_order(one: float, other: float, family: str, up: bool) -> None:
    """A higher ceiling never picks a smaller fuse, a larger need never a smaller supply."""
    low, high = sorted((one, other))

    assert usual_fuse(low, family, up=up) <= usual_fuse(high, family, up=up)
    for kind in ("transformer", "IEC transformer", "dc supply"):
        assert (next_made(kind, low) or inf) <= (next_made(kind, high) or inf)
