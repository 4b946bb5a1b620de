"""What has to hold for every load: more never gets less."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from panelwright.catalog import read_quantity
from panelwright.catalog.site import site_words
from panelwright.sizing import (
    OutsideTable,
    Region,
    branch_limit,
    drop_v,
    earth_for_device,
    earth_for_line,
    feeder_device,
    feeder_load,
    line_of,
    region_called,
    smallest_conductor,
    surface_m2,
    usual_site,
)
from panelwright.sizing.feeders import Share
from panelwright.sizing.protection import KINDS
from panelwright.sizing.site import Enclosure, Site

AMPS = st.floats(0.1, 400)
AMBIENT = st.floats(-10, 60)


def code(name: str) -> Region:
    """A code by its name."""
    found = region_called(name)
    assert found is not None
    return found


CODES = [code(name) for name in ("NEC 2023", "IEC 60204-1", "IEC 60364")]


def area(amps: float, region: Region, site: Site) -> float:
    """Cross-section of the smallest conductor; beyond the table as large as you like."""
    try:
        return smallest_conductor(amps, region, site).area_mm2
    except OutsideTable:
        return float("inf")


@pytest.mark.parametrize("region", CODES, ids=lambda one: one.name)
@settings(max_examples=150, deadline=None)
@given(st.data())
def test_a_larger_load_never_gets_a_smaller_conductor(region: Region, data: st.DataObject) -> None:
    """At any ambient, in any company, on marked terminals; on unmarked ones on either side of the 100 A of the NEC."""
    one, other = sorted((data.draw(AMPS), data.draw(AMPS)))
    terminals = data.draw(st.sampled_from([60.0, 75.0, 90.0, None]))
    if terminals is None and one <= 100 < other:
        one = 100.5
        other = max(one, other)
    site = usual_site(region, ambient_c=data.draw(AMBIENT), loaded=data.draw(st.integers(1, 9)), terminals_c=terminals)

    assert area(one, region, site) <= area(other, region, site)


def test_the_column_of_unmarked_terminals_changes_at_100_amperes() -> None:
    """The one place where the NEC gives the larger load the smaller conductor: 110.14(C)(1), 60 C up to 100 A, then 75.

    100 A: 1 AWG (110 A at 60 C). 101 A: 2 AWG (115 A at 75 C). Source: NEC Table 310.16, 110.14(C).
    """
    site = usual_site(CODES[0])

    assert ["1 AWG", "2 AWG"] == [smallest_conductor(amps, CODES[0], site).name for amps in (100, 101)]


@pytest.mark.parametrize("region", CODES, ids=lambda one: one.name)
@settings(max_examples=100, deadline=None)
@given(st.data())
def test_warmer_air_and_more_company_never_get_a_smaller_conductor(region: Region, data: st.DataObject) -> None:
    """The same load in a warmer place, or with more loaded conductors beside it."""
    amps = data.draw(AMPS)
    cool, warm = sorted((data.draw(AMBIENT), data.draw(AMBIENT)))
    few, many = sorted((data.draw(st.integers(1, 9)), data.draw(st.integers(1, 9))))
    at = area(amps, region, usual_site(region, ambient_c=cool, loaded=few))

    assert at <= area(amps, region, usual_site(region, ambient_c=warm, loaded=few))
    assert at <= area(amps, region, usual_site(region, ambient_c=cool, loaded=many))


@settings(max_examples=150, deadline=None)
@given(AMPS, AMPS, st.sampled_from(list(KINDS)))
def test_branch_devices_grow_with_the_motor(one: float, other: float, device: str) -> None:
    """Neither the size nor the reading that stays under the product ever falls; the size is never below the current."""
    low, high = (branch_limit(amps, device, CODES[0]) for amps in sorted((one, other)))

    assert low.size_a <= high.size_a
    assert (low.under_a or 0) <= (high.under_a or 0) <= high.product_a + 1e-6
    assert low.size_a >= min(one, other)


@settings(max_examples=150, deadline=None)
@given(st.lists(AMPS, min_size=1, max_size=8), AMPS)
def test_one_more_motor_never_makes_the_feeder_smaller(motors: list[float], more: float) -> None:
    """And a feeder is never smaller than the sum of what it feeds."""
    assert feeder_load(motors) <= feeder_load([*motors, more]) + 1e-9
    assert feeder_load(motors) >= sum(motors) - 1e-9
    shares = [Share(str(at), amps, 2.5 * amps) for at, amps in enumerate(motors)]
    total, size = feeder_device(shares)

    assert size is None or size <= total + 1e-9


@settings(max_examples=100, deadline=None)
@given(st.sampled_from(["16 AWG", "12 AWG", "2/0 AWG", "1 mm2", "2.5 mm2", "35 mm2"]), AMPS, st.floats(1, 500))
def test_drops_are_in_proportion(size: str, amps: float, metres: float) -> None:
    """Twice the current or twice the length is twice the drop; one phase loses more than three of the same current."""
    quantity = read_quantity(size)
    assert quantity is not None
    line = line_of(quantity)
    assert line is not None
    volts = drop_v(amps, metres, line, times=2, power_factor=0.8)

    assert 2 * volts == pytest.approx(drop_v(2 * amps, metres, line, times=2, power_factor=0.8))
    assert 2 * volts == pytest.approx(drop_v(amps, 2 * metres, line, times=2, power_factor=0.8))
    assert volts > drop_v(amps, metres, line, times=1.732, power_factor=0.8)


@given(st.floats(1, 1000), st.floats(1, 1000))
def test_protective_conductors_grow(one: float, other: float) -> None:
    """With the device (NEC) and with the line conductor (IEC), which they never exceed."""
    low, high = sorted((one, other))
    rows = [earth_for_device(amps)[1].device_a for amps in (low, high)]

    assert rows == sorted(rows)
    assert earth_for_line(low)[0] <= earth_for_line(high)[0] <= high + 1e-9


@given(st.floats(0.2, 2.5), st.floats(0.2, 2.5), st.floats(0.1, 1.5))
def test_no_way_of_standing_cools_better_than_standing_free(height: float, width: float, depth: float) -> None:
    """Every wall at its side takes cooling surface away."""
    box = Enclosure(height, width, depth)
    rows = {row.name: surface_m2(box, row) for row in site_words().standing}

    assert max(rows.values()) == rows["free"]
