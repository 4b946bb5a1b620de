"""From the command line, cold: check and draw a panel of 300 rungs.

Processor time of fresh processes, the least of five, with the start of Python itself measured beside it.
Run: python -m benchmarks.command_line
"""

from __future__ import annotations

import resource
import subprocess
import sys
import tempfile
from pathlib import Path

from panelwright.language import read

BOTH = """
import sys
import panelwright as pw

reading = pw.read_file(sys.argv[1])
pw.check(reading.circuit)
assert pw.draw(reading.circuit).svg()
"""
STARTERS = 100  # three rungs each


def panel() -> str:
    """Stop, start, hold-in and two lamps, a hundred times."""
    rows = ['panel "Three hundred rungs"', "supplies", "  G1  dc supply  24 V  40 A  rails + -  earthed at -"]
    rows.append("devices on door")
    for n in range(1, STARTERS + 1):
        rows += [f'  S{2 * n - 1}  pushbutton  1 NC  "Stop"', f'  S{2 * n}  pushbutton  1 NO  "Start"']
        rows += [f"  H{2 * n - 1}  lamp  LED  24 V dc", f"  H{2 * n}  lamp  LED  24 V dc"]
    rows.append("devices on plate")
    rows += [f"  K{n}  relay  2 CO  coil 24 V dc  base blade-8" for n in range(1, STARTERS + 1)]
    rows.append("rungs from + to -")
    for n in range(1, STARTERS + 1):
        rows.append(f"  S{2 * n - 1}.nc  ( S{2 * n}.no | K{n}.no1 )  K{n}.coil")
        rows += [f"  K{n}.no  H{2 * n - 1}", f"  K{n}.nc  H{2 * n}"]
    return "\n".join(rows) + "\n"


def seconds(command: list[str]) -> float:
    """Processor time of a process, the least of five runs."""
    times: list[float] = []
    for _ in range(5):
        before = resource.getrusage(resource.RUSAGE_CHILDREN)
        subprocess.run(command, check=True, capture_output=True)
        after = resource.getrusage(resource.RUSAGE_CHILDREN)
        times.append(after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime)
    return min(times)


def main() -> None:
    """Print the times and their ratio to the start of Python."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "large.panel"
        path.write_text(panel(), encoding="utf-8")
        assert read(path.read_bytes()).ok
        python = seconds([sys.executable, "-c", "pass"])
        tool = [sys.executable, "-m", "panelwright"]
        check = seconds([*tool, "check", str(path)])
        draw = seconds([*tool, "draw", str(path), "--out", str(Path(folder) / "large.svg")])
        both = seconds([sys.executable, "-c", BOTH, str(path)])
    print(f"Python alone   {python:.3f} s")
    print(f"check          {check:.2f} s   {check / python:.0f} times Python alone")
    print(f"draw           {draw:.2f} s   {draw / python:.0f} times Python alone")
    print(f"read, check and draw in one process: {both:.2f} s   {both / python:.0f} times Python alone")


if __name__ == "__main__":
    main()
