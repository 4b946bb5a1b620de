"""Panels with one motor, put together from pieces, and their sizing sheets."""

from __future__ import annotations

import panelwright as pw
from panelwright.sizing import Answer, SizingSheet

HEAD = """panel "Test"
  symbols {symbols}
  {rules}

supplies
  L  mains  {mains}  rails L1 L2 L3 PE  earthed at PE

devices on plate
{devices}

devices in field
{motors}

wires
  power  {wire}  black

sizing
{site}

power paths from L1 L2 L3
{paths}
"""


def sheet(
    devices: str,
    motors: str,
    paths: str,
    *,
    rules: str = "rules NEC 2023",
    mains: str = "480 V 60 Hz",
    wire: str = "12 AWG",
    site: str = "  ambient 30 C",
) -> SizingSheet:
    """The sizing sheet of a panel put together from pieces; its text has to be right."""
    symbols = "NA" if "NEC" in rules else "IEC"
    text = HEAD.format(
        symbols=symbols, rules=rules, mains=mains, devices=devices, motors=motors, wire=wire, site=site, paths=paths
    )
    reading = pw.read(text)

    assert [] == [f"{one.message}: {one.mend}" for one in reading.problems if one.severity == "mistake"]
    return pw.size(reading.circuit)


def one(found: SizingSheet, about: str, question: str) -> Answer:
    """The one answer to a question."""
    (answer,) = found.about(about, question)
    return answer


STARTER = """  F1  fuse  3 poles  {fuse}
  Q1  contactor  3 poles  coil 24 V dc
  F2  overload relay  3 poles  {overload}
"""


PATH = "  F1.poles  Q1.poles  F2.poles  M1"


def simple(motor: str, *, fuse: str = "15 A slow", overload: str = "7 A to 11 A  set 8 A", **said: str) -> SizingSheet:
    """One motor behind fuses, contactor and overload relay."""
    return sheet(STARTER.format(fuse=fuse, overload=overload), f"  M1  three-phase motor  {motor}", PATH, **said)
