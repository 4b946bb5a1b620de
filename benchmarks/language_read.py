"""How long it takes to read a panel file, against reading a TOML file of the same size with the standard library.

Run: python benchmarks/language_read.py. One process, best of several rounds; times are CPU times. "cold": nothing is
remembered; "again": the same text; "one line": one rung was changed, as after a keystroke in the bench.
"""

from __future__ import annotations

import random
import time
import tomllib
from collections.abc import Callable
from functools import partial

from panelwright.language import Reading, device_lines, headings, lines, mending, parsing, plain, read, rungs

ROUNDS = 5
REMEMBERED = (
    parsing.parse, lines._line, headings.heading_of, mending.mended, plain.words_of, device_lines._device_of,
)  # fmt: skip


def panel(size: int) -> str:
    """`size` rungs, as many relays, twice as many contacts, a promise and a trial for every tenth."""
    chance = random.Random(size)
    numbers = range(1, size + 1)
    rows = ['panel "Generated"', "supplies", "  G1  dc supply  24 V  50 A  rails + -  earthed at -"]
    rows += ["devices on door", *(f'  S{n}  pushbutton  1 NO + 1 NC  "Button {n}"' for n in numbers)]
    rows += ["devices on plate", *(f'  K{n}  relay  4 CO  coil 24 V dc  base blade-14  "Relay {n}"' for n in numbers)]
    rows.append("rungs from + to -")
    for n in numbers:
        other, third = chance.choice(numbers), chance.choice(numbers)
        rows.append(f'  S{n}.nc  ( S{other}.no | K{n}.no )  K{third}.nc  K{n}.coil  "Rung {n}"')
    rows += ["promises", *(f"  K{n} picks up when S{n} is pressed" for n in numbers[::10])]
    rows += ['trial "All"', *(f"  press and release S{n}; expect K{n} in" for n in numbers[::10])]
    return "\n".join(rows) + "\n"


def toml(bytes_wanted: int) -> str:
    """A TOML file of about that many bytes, a table for every rung."""
    row = '[[rung]]\nitems = ["S1.nc", ["S2.no", "K1.no"], "K2.nc", "K1.coil"]\ntext = "Rung"\n'
    return row * (bytes_wanted // len(row))


def read_edited(text: str) -> Reading:
    """Read the text with another text behind one rung each time."""
    return read(text.replace('"Rung 5"', f'"Rung 5, {time.monotonic_ns()}"'))


def forget() -> None:
    """As in a new process, but with the grammar and the catalogue loaded."""
    for remembering in REMEMBERED:
        remembering.cache_clear()
    rungs._known.clear()


def best_ms(work: Callable[[], object], before: Callable[[], object] = lambda: None) -> float:
    """The least CPU time of some rounds, in milliseconds."""
    times = []
    for _ in range(ROUNDS):
        before()
        start = time.process_time()
        work()
        times.append(time.process_time() - start)
    return 1000 * min(times)


def main() -> None:
    """Print the table."""
    read(panel(3))
    print(f"{'rungs':>6} {'lines':>6} {'toml ms':>8} {'cold':>7} {'again':>7} {'one line':>9}   as ratios to toml")
    for size in (10, 30, 100, 300):
        text = panel(size)
        other = toml(len(text))
        reference = best_ms(partial(tomllib.loads, other))
        cold = best_ms(partial(read, text), forget)
        again = best_ms(partial(read, text))
        edit = best_ms(partial(read_edited, text))
        ratios = f"{cold / reference:7.1f} {again / reference:7.2f} {edit / reference:9.2f}"
        print(f"{size:6} {text.count(chr(10)):6} {reference:8.2f} {ratios}   ({cold:.1f}, {again:.1f}, {edit:.1f} ms)")


if __name__ == "__main__":
    main()
