"""What the file does not tell is asked for, with the line that would tell it."""

from __future__ import annotations

from pathlib import Path

import pytest

import panelwright as pw
from panelwright.circuit import Circuit
from panelwright.sizing import Missing, job_of
from panelwright.sizing.power_side import power_parts

from .motor_panels import one, simple


def test_a_fuse_of_unknown_kind_is_asked_about_only_where_it_matters() -> None:
    """15 A will do either way, 20 A only as a non-time-delay fuse, 40 A not at all. (5 hp at 460 V)"""
    verdicts = {}
    for amps in (15, 20, 40):
        answer = one(simple("5 hp  460 V  7.6 A", fuse=f"{amps} A"), "M1", "branch device")
        assert answer.fitted is not None
        verdicts[amps] = (answer.fitted.fits, [missing.what for missing in answer.missing])

    assert {15: (True, []), 20: (None, ["kind of fuse of F1"]), 40: (False, [])} == verdicts


def test_what_is_missing_is_asked_for_with_the_line_to_write() -> None:
    """The line is the one of the file, with what is wanted behind it; the rest is sized."""
    found = simple("480 V", fuse="15 A slow")
    mends = {missing.what: missing.mend for missing in found.missing}

    assert "M1  three-phase motor  480 V  5 hp" == mends["power of M1"]
    assert "M1  three-phase motor  480 V  7.6 A" == mends["nameplate current of M1"]
    assert one(found, "panel", "short-circuit rating").answered


def test_lines_that_are_asked_for_are_understood() -> None:
    """Whatever the sheet says to write can be written: the panel reads, and the fact is missing no longer."""
    found = simple("5 hp  460 V  7.6 A", fuse="20 A")
    kind = next(missing for missing in found.missing if missing.what == "kind of fuse of F1")
    again = simple("5 hp  460 V  7.6 A", fuse=kind.mend.partition("3 poles")[2].partition("(or")[0].strip())

    assert "kind of fuse of F1" not in [missing.what for missing in again.missing]


WORDS = {f"PW{code}" for code in range(150, 182)}  # what is said about the words of a device line


def power_missing(circuit: Circuit) -> tuple[Missing, ...]:
    """What the power side asks for."""
    parts = power_parts(job_of(pw.wire(circuit)))
    return tuple(one for part in parts for answer in part.answers for one in answer.missing)


def written(mend: str) -> str:
    """A panel file with the line that was asked for, under the heading that it belongs to."""
    section, colon, line = mend.partition(": ")
    if not colon or " " in section:
        section, line = "", mend
    line = line.partition("   (or")[0]
    kind = line.split("  ")[1] if not section else ""
    heading = section or ("supplies" if kind in ("mains", "split-phase mains") else "devices on plate")
    heading = "devices on plate" if heading == "devices" else heading
    others = "\nsupplies\n  L  mains  400 V 50 Hz  rails L1 L2 L3" if heading != "supplies" else ""
    return f'panel "Test"\n{heading}\n  {line}{others}\n'


BARE = """panel "Nothing said"
  symbols {symbols}
supplies
  L  mains  480 V 60 Hz  rails L1 L2 L3
devices on plate
  K1  contactor  3 poles  coil 24 V dc
devices in field
  M1  three-phase motor  5 hp  480 V  7.6 A
  M2  three-phase motor  480 V
power paths from L1 L2 L3
  K1.poles  M1
  K1.poles  M2
"""


FILES = [path.read_text(encoding="utf-8") for path in sorted(Path("examples").rglob("*.panel"))]


@pytest.mark.parametrize("text", [*FILES, BARE.format(symbols="NA"), BARE.format(symbols="IEC")])
def test_whatever_is_asked_for_can_be_written_as_it_stands(text: str) -> None:
    """Each line of `missing` reads without a mistake in its words; names of other devices may be unknown there."""
    for missing in power_missing(pw.read(text).circuit):
        reading = pw.read(written(missing.mend))
        problems = [one for one in reading.problems if one.severity == "mistake"]
        wrong = [one.message for one in problems if one.code < "PW1" or one.code in WORDS]

        assert [] == wrong, missing.mend
