"""Control circuits against worked examples that others have published, with the answers as printed there."""

from __future__ import annotations

from itertools import pairwise

import pytest

import panelwright as pw
from panelwright.sizing.asking import AskedWrongly
from panelwright.sizing.contacts import code_capacity
from panelwright.sizing.control import largest_control_device, smallest_on_branch_device
from panelwright.sizing.control_fuses import usual_fuse
from panelwright.sizing.dc_supplies import average_and_peak
from panelwright.sizing.factors import factor
from panelwright.sizing.long_lines import drop_out_metres, pick_up_metres
from panelwright.sizing.regions import Region, region_called
from panelwright.sizing.transformer_protection import most_on_primary, transformer_amps, transformer_ceiling
from panelwright.sizing.transformers import next_made, transformer_by_dip


def nec() -> Region:
    """The NEC in its 2023 edition."""
    region = region_called("NEC 2023")
    assert region is not None
    return region


def test_a_control_circuit_tapped_from_25_amperes_leaves_the_enclosure_in_14_awg() -> None:
    """16 AWG may have 10 A at most, 14 AWG 45 A. Source: electrician2.com/weltrain05/lpage116.html."""
    found = smallest_on_branch_device(25, "leaving", nec())

    assert found is not None
    assert (found.size, found.amps) == ("14 AWG", 45)
    assert largest_control_device("16", "leaving", nec()).amps == 10


@pytest.mark.parametrize(("size", "most"), [("14", 4.0), ("12", 5.0)])
def test_a_24_v_secondary_protected_from_a_120_v_primary(size: str, most: float) -> None:
    """20 A x 24/120 = 4 A, 25 A x 24/120 = 5 A. Source: mikeholt.com, control circuit sizing (2000)."""
    assert most_on_primary(largest_control_device(size, "separate", nec()).amps, 24, 120) == pytest.approx(most)


def test_1000_va_208_to_120_protected_on_both_sides() -> None:
    """4.81 A: 12.0 A; 8.33 A: 13.9 A, not rounded up. Source: forums.mikeholt.com/threads/2583070."""
    primary, row = transformer_ceiling("primary and secondary", "primary", transformer_amps(1000, 208))
    secondary, under_9 = transformer_ceiling("primary and secondary", "secondary", transformer_amps(1000, 120))

    assert transformer_amps(1000, 208) == pytest.approx(4.81, rel=1e-3)
    assert primary == pytest.approx(12.0, rel=5e-3)
    assert secondary == pytest.approx(13.9, rel=5e-3)
    assert (row.percent, under_9.percent, under_9.next_up) == (250, 167, "no")


def test_300_va_at_600_v_rides_through_20_amperes_and_may_have_500_percent() -> None:
    """0.5 A; 40 x 0.5 = 20 A for 0.01 s; 500 % = 2.5 A. Source: fuse guide at studylib.net/doc/18075878."""
    amps = transformer_amps(300, 600)

    assert amps == pytest.approx(0.5)
    assert amps * factor("magnetising control").value == pytest.approx(20)
    assert transformer_ceiling("motor control", "primary", amps)[0] == pytest.approx(2.5)


def test_45_kva_three_phase_takes_125_amperes_on_the_primary() -> None:
    """54.1 A; 250 % = 135.3 A; the largest standard size below it. Source: electrical-contractor.net post 192664."""
    amps = transformer_amps(45_000, 480, 3)
    ceiling, row = transformer_ceiling("primary and secondary", "primary", amps)

    assert amps == pytest.approx(54.1, rel=1e-3)
    assert ceiling == pytest.approx(135.3, rel=1e-3)
    assert usual_fuse(ceiling, up=row.next_up == "yes") == 125


def test_a_small_transformer_by_its_dip() -> None:
    """(120 + 600) VA / 5 = 144 VA: 150 VA. Source: tools.gera.services/control-transformer-sizing (its own rule)."""
    needed = transformer_by_dip(60 + 10 + 50, 600)

    assert needed == pytest.approx(144)
    assert next_made("transformer", needed) == 150


def test_a_size_2_coil_on_contact_codes() -> None:
    """216 VA inrush, 30 VA sealed at 120 V: an A300 contact bears it, E150 exactly at its make limit.

    Source: industrial-electronics.com, ratings for coils (1.8 A, 0.25 A); codes: dtsheet.com/doc/1798004.
    """
    make, sealed = 216 / 120, 30 / 120
    for code in ("A300", "A600", "E150"):
        capacity = code_capacity(code, 120)

        assert capacity is not None
        assert capacity.bears(make, sealed)
        assert capacity.bears(make * 1.01, sealed) == (code != "E150")


def test_contact_codes_as_printed() -> None:
    """B300: 30/3/5 A at 120 V, 15/1.5 A at 240 V; N150: 2.2 A at 125 V dc, 10 A. Source: dtsheet.com/doc/1798004."""
    b_120, b_240, n_125 = code_capacity("B300", 120), code_capacity("B300", 240), code_capacity("N150", 125)
    assert b_120 is not None
    assert b_240 is not None
    assert n_125 is not None

    assert (b_120.make_a, b_120.break_a, b_120.carry_a) == (30, 3, 5)
    assert (b_240.make_a, b_240.break_a) == (15, 1.5)
    assert (n_125.make_a, n_125.carry_a) == (2.2, 10)
    assert code_capacity("N150", 250) is None


def test_the_run_from_which_capacitance_holds_a_contactor_in() -> None:
    """110 V, 50 Hz, 4.5 VA, drop-out 25 %, 0.26 uF/km: 910 m. Source: es.scribd.com/document/382094383.

    The page writes 0.3 into its expression; its answer belongs to 0.25, which is what m / (1 + m) = 0.2 uses.
    """
    assert drop_out_metres(110, 50, 4.5, 0.25, 0.26e-9) == pytest.approx(910, rel=0.01)
    assert drop_out_metres(110, 50, 4.5, 0.3, 0.26e-9) > 1000


def test_a_24_v_bus_on_average_and_at_its_peak() -> None:
    """10 W, 2 W, 12 W half the time, 1 W: 0.79 A, peak 1.04 A. Source: infoneva.com, 24 V load page."""
    average, peak = average_and_peak([(10, 1), (2, 1), (12, 0.5), (1, 1)], 24)

    assert average == pytest.approx(0.79, abs=0.005)
    assert peak == pytest.approx(1.04, abs=0.005)


def test_the_pick_up_formula_is_ohms_law_with_57() -> None:
    """5 % of 230 V at 200 VA through 1.5 mm2: the loop resistance that loses 11.5 V. Source: kappa 57,
    electrical-engineering-portal.com on long control lines.
    """
    metres = pick_up_metres(5, 200, 230, 1.5)

    assert metres / (57 * 1.5) * 200 / 230 == pytest.approx(0.05 * 230)


@pytest.mark.parametrize("code", ["A600", "B300", "C600", "D300", "E150", "N600", "P300", "Q600", "R150"])
def test_a_contact_never_bears_more_at_more_volts(code: str) -> None:
    """Amperes fall with the volts, within the rounding of printed cells (3 %), and end at the voltage of the code."""
    found = [code_capacity(code, volts) for volts in range(12, int(code[1:]) + 1, 6)]
    for lower, higher in pairwise(one for one in found if one is not None):
        assert higher.make_a <= lower.make_a * 1.03
        assert higher.break_a <= lower.break_a * 1.03
    assert all(one is not None for one in found)
    assert code_capacity(code, int(code[1:]) + 1) is None


@pytest.mark.parametrize(
    ("size", "how", "metal", "amps"),
    [("8", "inside", "cu", 160), ("8", "leaving", "cu", 120), ("8", "separate", "cu", 40), ("2", "leaving", "al", 225),
     ("10", "separate", "al", 25), ("250", "leaving", "cu", 645)],
)  # fmt: skip
def test_control_conductors_beyond_the_table(size: str, how: str, metal: str, amps: float) -> None:
    """400 and 300 % of the 60 C ampacity over 10 AWG. Source: notes of Table 430.72(B) in the 2022 California code."""
    assert amps == largest_control_device(size, how, nec(), metal).amps


@pytest.mark.parametrize(("size", "metal"), [("20", "cu"), ("over 10", "cu"), ("14", "al"), ("9", "cu")])
def test_control_conductors_that_the_rule_does_not_know(size: str, metal: str) -> None:
    """Smaller than 18 AWG, thin aluminium, no size: told with those that there are."""
    with pytest.raises(AskedWrongly, match=r"There are|Did you mean"):
        largest_control_device(size, "inside", nec(), metal)


TAPPED = """panel "Tapped"
  symbols NA
  rules NEC 2023

supplies
  L  mains  240 V 60 Hz  rails L1 L2 L3 PE  earthed at PE

devices on plate
  1FU  fuse  3 poles  25 A  slow
  2FU  fuse  25 A
  1M  contactor  3 poles  1 NO  coil 240 V 60 Hz  size 1
  1OL  overload relay  3 poles  15 A to 25 A  set 20 A

devices on door
  1PB  pushbutton  red  1 NC  "Stop"
  2PB  pushbutton  green  1 NO  "Start"

devices in field
  1MTR  three-phase motor  7.5 hp  230 V  21 A

wires
  power  10 AWG  black
  control  {size}  red

power paths from L1 L2 L3
  1FU.poles  @A
  @A  1M.poles  1OL.poles  1MTR

rungs from L1 to L2
  2FU  @1

rungs from @1 to L2
  1PB.nc  ( 2PB.no | 1M.no )  1M.coil  1OL.nc
"""


@pytest.mark.parametrize(("size", "said"), [("8 AWG", "8 AWG on 25 A"), ("20 AWG", "capacity of 20 AWG")])
def test_a_tapped_circuit_of_any_wire_is_answered(size: str, said: str) -> None:
    """Thicker than the table goes by its notes, thinner than 18 AWG is asked for. Source: NEC Table 430.72(B)."""
    (found,) = pw.size(pw.read(TAPPED.format(size=size)).circuit).about("L", "control-circuit protection")
    told = [found.fitted.text] if found.fitted else [missing.what for missing in found.missing]

    assert [said] == told
