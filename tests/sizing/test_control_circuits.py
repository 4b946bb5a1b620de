"""Control circuits sized from their simulation: what falls short is seen, what is asked for is exact, more is more."""

from __future__ import annotations

import cmath
import math
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import panelwright as pw
from panelwright.electrics import position_of
from panelwright.electrics.positions import DeviceState
from panelwright.sizing import Answer, job_of
from panelwright.sizing.control_circuits import ControlCircuit, control_circuits
from panelwright.sizing.control_side import control_parts
from panelwright.sizing.rung_volts import least_volts
from panelwright.sizing.transformers import selection_inrush, transformer_by_chart
from panelwright.wiring import wire
from tests.electrics.ngspice import Deck, run

STATION = """panel "Station far away"
  symbols IEC
  rules IEC 60204-1

supplies
  L   mains                400 V 50 Hz    rails L1 L2 L3 PE
  T1  control transformer  400 V / 230 V  100 VA  rails X1 X2  earthed at X2

devices on plate
  F1  fuse            2 poles  0.5 A
  F2  fuse            0.315 A
  K1  contactor       3 poles  1 NO  coil 230 V 50 Hz  inrush 400 VA  sealed 30 VA
  K2  relay           2 CO           coil 230 V 50 Hz
  XT  terminal strip  8 terminals

devices in field
  B1  two-wire sensor  230 V ac  leaks 2.5 mA
  S1  pushbutton       1 NC      rated E150
  S2  pushbutton       1 NO      rated A300

cables
  W1  cable  5 x 1.0 mm2  900 m  from XT to S1 and S2
  W2  cable  3 x 1.0 mm2  from XT to B1

wires
  control  1.0 mm2

rungs from X1 to X2
  F2  @1

rungs from @1 to X2
  XT.1  S1.nc  @2  XT.2  ( S2.no XT.3 | K1.no )  K1.coil
  XT.4  B1.out  XT.5  K2.coil

power paths from L1 L2
  F1.poles  T1.primary
"""


def circuit_of(text: str) -> ControlCircuit:
    """The only control circuit of a panel."""
    reading = pw.read(text)
    assert not reading.problems
    (circuit,) = control_circuits(job_of(wire(reading.circuit)))
    return circuit


def answers_of(text: str) -> dict[tuple[str, str], Answer]:
    """All answers of the control side."""
    reading = pw.read(text)
    assert not reading.problems
    parts = control_parts(job_of(wire(reading.circuit)))
    return {(answer.about, answer.question): answer for part in parts for answer in part.answers}


def test_volts_at_a_coil_are_ohms_law() -> None:
    """By hand: 230 V behind the winding and two cores of 900 m, with the open armature at power factor 0.4.

    19.5 ohm/km (IEC 60228, class 5, 1 mm2) at 70 C; the winding loses 5 % at its 100 VA.
    """
    answers = answers_of(
        STATION.replace("XT.4  B1.out  XT.5  K2.coil", "XT.4  B1.out  XT.5  S2.no2  K2.coil").replace(
            "1 NO      rated A300", "2 NO      rated A300"
        )
    )
    core = 19.5e-3 * (1 + 0.00393 * 50) * 900
    winding = 0.05 * 230 / (100 / 230)
    coil = cmath.rect(230**2 / 400, math.acos(0.4))
    volts = abs(230 * coil / (coil + winding + 2 * core))

    assert answers["K1", "volts at the coil"].value == pytest.approx(volts, rel=5e-3)


def test_volts_at_the_coils_are_those_of_ngspice() -> None:
    """Reference program: ngspice. Winding, cable and two open armatures as a deck written by hand, 50 Hz."""
    text = STATION.replace("XT.4  B1.out  XT.5  K2.coil", "XT.4  B1.no  XT.5  K2.coil")
    text = text.replace("two-wire sensor  230 V ac  leaks 2.5 mA", "limit switch     1 NO").replace(
        "3 x 1.0 mm2  from", "3 x 1.0 mm2  400 m  from"
    )
    ohms_m = 19.5e-3 * (1 + 0.00393 * 50)  # 1 mm2, class 5, IEC 60228, at 70 C
    lines = ["V1 s 0 dc 0 ac 230", f"Rw s a {0.05 * 230 / (100 / 230)}"]
    for coil, va, metres in (("1", 400.0, 900), ("2", 2.0, 400)):
        impedance = cmath.rect(230**2 / va, math.acos(0.4))
        henries = impedance.imag / (2 * math.pi * 50)
        lines += [f"Rc{coil} a c{coil} {2 * ohms_m * metres}", f"Rk{coil} c{coil} d{coil} {impedance.real}"]
        lines.append(f"Lk{coil} d{coil} 0 {henries}")
    (values,) = run([Deck(tuple(lines), 50.0, ("c1", "c2"))])
    answers = answers_of(text)

    assert answers["K1", "volts at the coil"].value == pytest.approx(abs(values["c1"]), rel=1e-5)
    assert answers["K2", "volts at the coil"].value == pytest.approx(abs(values["c2"]), rel=1e-5)


def test_what_falls_short_is_said_with_the_reason() -> None:
    """The long line, the small transformer, the fuse and the contact code."""
    answers = answers_of(STATION)
    short = {key: answer.fitted.why for key, answer in answers.items() if answer.falls_short and answer.fitted}

    assert short["W1", "longest run for pick-up"] == "K1 may not pull in"
    assert short["W1", "longest run for drop-out"] == "K1 may stay in when the far contact opens"
    assert short["S1", "contact rating"] == "not made for 230 V ac"
    assert answers["S2", "contact rating"].fitted is not None
    assert answers["S2", "contact rating"].fitted.fits


def test_at_the_longest_run_the_coil_just_works() -> None:
    """A cable of the length found gives the coil its working volts, one of 2 % more does not."""
    longest = answers_of(STATION)["W1", "longest run for pick-up"].value
    assert longest is not None
    for share, enough in ((0.995, True), (1.02, False)):
        volts = answers_of(STATION.replace("900 m", f"{longest * share:.2f} m"))["K1", "volts at the coil"].value
        assert volts is not None

        assert (volts >= 0.85 * 230) == enough


def test_a_cable_without_length_is_asked_for_and_the_rest_sized() -> None:
    """The line to write is given; the drop-out length of the same cable is still answered."""
    answers = answers_of(STATION)
    (missing,) = answers["W2", "longest run for pick-up"].missing

    assert missing.what == "length of W2"
    assert missing.mend.startswith("W2  cable  3 x 1.0 mm2")
    assert answers["W2", "longest run for drop-out"].answered


def test_wires_without_size_are_asked_for() -> None:
    """With the line to write, in the size of the region."""
    text = panel_with([(200, 30)]).replace("symbols NA", "symbols IEC")
    (missing,) = answers_of(text)["T1", "control-circuit protection"].missing

    assert missing.mend == "under wires: control  1.0 mm2"


def test_the_bleeder_lets_the_relay_go() -> None:
    """A leak of 2.5 mA keeps K2 in; with the resistor that is named, K2 gets less than it rests at."""
    answer = answers_of(STATION)["B1", "load of its output"]
    assert answer.value is not None
    assert answer.warnings == ("K2.coil may stay in or glow when B1 opens",)
    with_bleeder = STATION.replace("K2.coil\n", "( K2.coil | R1 )\n").replace(
        "devices in field\n", f"  R1  resistor  {answer.value:.0f} ohm  6 W\n\ndevices in field\n"
    )
    circuit = circuit_of(with_bleeder)
    open_sensor = position_of(circuit.job.circuit, {"K2": DeviceState("operated")})

    assert circuit.structure.network.solve(open_sensor).load("K2.coil").acting_v < 0.15 * 230
    assert circuit_of(STATION).structure.network.solve(open_sensor).load("K2.coil").acting_v > 0.15 * 230
    assert answers_of(with_bleeder)["B1", "load of its output"].choice == "enough, no bleeder needed"


TAPPED = """panel "Tapped control"
  symbols NA
  rules NEC 2023

supplies
  LV  mains  480 V 60 Hz  rails L1 L2 L3

places
  station  "far end of the hall"

devices in station
  1PB  pushbutton  1 NC
  2PB  pushbutton  1 NO

devices on plate
  1FU  fuse            3 poles  25 A
  1M   contactor       3 poles  1 NO  coil 480 V 60 Hz
  TB1  terminal strip  8 terminals

devices in field
  1MTR  three-phase motor  7.5 hp  480 V  11 A

cables
  C1  cable  5 x 16 AWG  300 ft  from TB1 to 1PB and 2PB

power paths from L1 L2 L3
  1FU.poles  @P
  @P  1M.poles  1MTR

rungs from @P.1 to @P.2
  TB1.1  1PB.nc  @2  TB1.2  ( 2PB.no TB1.3 | 1M.no )  1M.coil
"""


def test_a_tapped_circuit_needs_14_awg_behind_25_amperes() -> None:
    """The published case (electrician2.com/weltrain05/lpage116.html) as a panel: 16 AWG leaves the enclosure, 10 A."""
    answer = answers_of(TAPPED)["LV", "control-circuit protection"]

    assert answer.choice == "14 AWG or larger"
    assert answer.fitted is not None
    assert (answer.fitted.text, answer.fitted.fits, answer.fitted.why) == ("16 AWG on 25 A", False, "at most 10 A")
    assert not answers_of(TAPPED.replace("16 AWG", "14 AWG"))["LV", "control-circuit protection"].falls_short


def test_without_a_secondary_fuse_the_primary_device_has_to_do() -> None:
    """14 AWG 20 A x 120/480 = 5 A on the primary, from a two-wire secondary (mikeholt.com, control circuit sizing)."""
    text = """panel "No secondary fuse"
  symbols NA
  rules NEC 2023

supplies
  LV  mains                480 V 60 Hz    rails L1 L2
  T1  control transformer  480 V / 120 V  100 VA  rails X1 X2  earthed at X2

devices on plate
  1FU  fuse       2 poles  0.6 A
  1M   contactor  3 poles  coil 120 V 60 Hz
  1PB  pushbutton  1 NO

wires
  control  14 AWG

power paths from L1 L2
  1FU.poles  T1.primary

rungs from X1 to X2
  1PB.no  1M.coil
"""
    answer = answers_of(text)["T1", "secondary protection"]

    assert answer.value == pytest.approx(5.0)
    assert answer.choice == "none, if the primary device is 5 A or less"


def test_opposed_contactors_with_diodes_are_warned_about() -> None:
    """On dc a diode makes the contactor hold on four times as long; its opponent may come in first."""
    text = """panel "Opposed"
  symbols IEC

supplies
  G1  dc supply  24 V  5 A  rails + -

devices on plate
  K1  contactor   3 poles  1 NC  coil 24 V dc  with diode
  K2  contactor   3 poles  1 NC  coil 24 V dc
  K1 and K2 interlocked mechanically
  S1  pushbutton  1 NO
  S2  pushbutton  1 NO

rungs from + to -
  S1.no  K2.nc  K1.coil
  S2.no  K1.nc  K2.coil
"""
    answers = answers_of(text)

    assert answers["K1", "suppressor"].choice == "zener diode"
    assert answers["K1", "suppressor"].warnings
    assert ("the file has none",) == answers["K2", "suppressor"].warnings


@pytest.mark.parametrize(("size", "site"), [("0.3 mm2", ""), ("1.0 mm2", "sizing\n  ambient 95 C\n\n")])
def test_no_such_size_in_the_tables_is_said(size: str, site: str) -> None:
    """A size between those of the table, and an ambient beyond it: the rest is sized all the same."""
    text = STATION.replace("control  1.0 mm2", f"control  {size}").replace("x 1.0 mm2", f"x {size}")
    answers = answers_of(text.replace("rungs from X1 to X2", f"{site}rungs from X1 to X2"))
    (missing,) = answers["T1", "control-circuit protection"].missing

    assert missing.what == f"capacity of {size}"
    assert answers["T1", "control transformer"].answered


@pytest.mark.parametrize(("va", "allowed"), [(75, True), (150, False)])
def test_class_2_wiring_is_offered_behind_a_small_24_v_supply_only(va: int, allowed: bool) -> None:
    """Up to 100 VA and 30 V ac (NEC Chapter 9 Table 11(A), from memory)."""
    text = panel_with([(20, 5)]).replace("120 V  500 VA", f"24 V  {va} VA").replace("coil 120 V", "coil 24 V")
    text = text.replace("rungs from", "wires\n  control  18 AWG\n\nrungs from").replace(
        "symbols NA", "symbols NA\n  rules NEC 2023"
    )
    answer = answers_of(text)["T1", "control-circuit protection"]

    assert any("class 2" in one.choice for one in answer.also) == allowed


def panel_with(coils: list[tuple[int, int]]) -> str:
    """Contactors side by side behind one button; (inrush VA, sealed VA) of each."""
    tags = range(1, len(coils) + 1)
    devices = "\n".join(
        f"  {n}M  contactor  3 poles  coil 120 V 60 Hz  inrush {inrush} VA  sealed {sealed} VA"
        for n, (inrush, sealed) in zip(tags, coils, strict=True)
    )
    rungs = "\n".join(f"  @1  {n}M.coil" for n in tags)
    return f"""panel "Side by side"
  symbols NA

supplies
  T1  control transformer  480 V / 120 V  500 VA  rails X1 X2  earthed at X2

devices on plate
  1PB  pushbutton  1 NO
{devices}

rungs from X1 to X2
  1PB.no  @1
{rungs}
"""


def needed_va(coils: list[tuple[int, int]]) -> float:
    """VA of the transformer for them; beyond the chart as large as you like."""
    answer = answers_of(panel_with(coils))["T1", "control transformer"]
    return answer.value if answer.value is not None else float("inf")


@settings(max_examples=25, deadline=None)
@given(st.lists(st.tuples(st.integers(40, 900), st.integers(5, 39)), min_size=1, max_size=3),
       st.tuples(st.integers(40, 900), st.integers(5, 39)))  # fmt: skip
def test_more_coils_never_need_a_smaller_transformer(coils: list[tuple[int, int]], one_more: tuple[int, int]) -> None:
    """One coil more behind the same button."""
    assert needed_va([*coils, one_more]) >= needed_va(coils)


@settings(max_examples=20, deadline=None)
@given(st.lists(st.integers(1, 2000), min_size=2, max_size=2))
def test_a_longer_run_never_gives_more_volts(lengths: list[int]) -> None:
    """To the coil that is fed through it; a coil beside it may gain a little, as the other one draws less."""
    short, long = sorted(lengths)
    nearer, farther = (
        {at.element: at.volts for at in least_volts(circuit_of(STATION.replace("900 m", f"{metres} m")))}
        for metres in (short, long)
    )

    assert farther["K1.coil"] <= nearer["K1.coil"] * (1 + 1e-9)


@given(st.floats(1, 400), st.floats(1, 4000), st.floats(1, 400), st.floats(1, 4000))
def test_the_chart_never_falls(held: float, pulling: float, more_held: float, more_pulling: float) -> None:
    """More sealed or more inrush VA never choose a smaller size; nor does a supply that moves more."""

    def chosen(sealed: float, inrush: float, *, steady: bool = True) -> float:
        row = transformer_by_chart(sealed, selection_inrush(sealed, inrush), steady=steady)
        return row.va if row is not None else float("inf")

    assert chosen(held, pulling) <= chosen(held + more_held, pulling + more_pulling)
    assert chosen(held, pulling) <= chosen(held, pulling, steady=False)


def test_a_metric_wire_counts_as_the_next_smaller_gauge_under_the_nec() -> None:
    """1.0 mm2 is more than 18 AWG (0.823 mm2) and less than 16 AWG (1.31 mm2): 7 A by NEC Table 430.72(B)."""
    text = Path("examples/orchard/grader-conveyor.panel").read_text(encoding="utf-8")
    metric = text.replace("X2       14 AWG", "X2       1.0 mm2")
    (answer,) = pw.size(pw.read(metric).circuit).about("T1", "control-circuit protection")

    assert "18 AWG, a device of its own: 7 A at most" == answer.workings[0].text
    assert answer.fitted is not None
    assert "protects 1.0 mm2, counted as 18 AWG, carries 0.24 A" == answer.fitted.why


HALF_FUSED = """panel "Half fused"
  rules IEC 60204-1
supplies
  G1  dc supply  24 V  5 A  rails + -  earthed at -
devices on door
  S1  pushbutton  1 NO
  S2  pushbutton  1 NO
devices on plate
  F1  fuse  1 A
  K1  relay  1 NO  coil 24 V dc
  K2  relay  1 NO  coil 24 V dc
wires
  control  {size}
rungs from + to -
  F1  S1.no  K1.coil
  S2.no  K2.coil
"""


@pytest.mark.parametrize(("size", "guarded"), [("1.0 mm2", True), ("0.5 mm2", False)])
def test_loads_that_no_fuse_stands_in_front_of_are_named(size: str, guarded: bool) -> None:
    """K2 alone hangs on the supply itself; its limit of 5.5 A guards 1.0 mm2, of 0.5 mm2 nothing is known."""
    reading = pw.read(HALF_FUSED.format(size=size))
    (answer,) = pw.size(reading.circuit).about("G1", "fuse behind the supply")
    (warning,) = answer.warnings

    assert warning.startswith("no fuse in front of K2: ")
    assert guarded is ("its own limit of 5.5 A protects the wires" in warning)


def test_a_coil_behind_a_run_that_is_too_long_falls_short() -> None:
    """W1 of the lift station at 42 m leaves K1 its volts; at 4200 m less than the 19.2 V from which it surely works."""
    text = Path("examples/orchard/lift-station.panel").read_text(encoding="utf-8")
    near, far = (
        pw.size(pw.read(text.replace("5 x 1.5 mm2  42 m", f"5 x 1.5 mm2  {metres} m")).circuit) for metres in (42, 4200)
    )
    (good,), (short,) = (sheet.about("K1", "volts at the coil") for sheet in (near, far))

    assert not good.falls_short
    assert short.falls_short
    assert short in far.shortfalls
