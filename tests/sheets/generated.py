"""Random circuits: nested trees, named points, bridges."""

from __future__ import annotations

import re

from circuit_words import panel
from hypothesis import strategies as st

from panelwright.circuit import Circuit


@st.composite
def trees(draw: st.DrawFn, depth: int = 3, load: bool = True) -> str:
    """Words of a series: contacts and brackets, with a load at the end of it or within its last bracket."""
    parts = [
        draw(st.one_of(contacts(), brackets(depth - 1))) if depth else draw(contacts())
        for _ in range(draw(st.integers(0 if load else 1, 3)))
    ]
    if load:
        parts.append(draw(loads(depth)))
    return " ".join(parts)


@st.composite
def contacts(draw: st.DrawFn) -> str:
    tag = draw(st.sampled_from("SSSKKKTFBEAXU")) + str(draw(st.integers(1, 9)))
    if tag[0] == "X":
        return f"X1.{draw(st.integers(100, 10**9))}"
    if tag[0] == "U":
        return f"U{draw(st.integers(100, 99999))}"
    return f"{tag}.{draw(st.sampled_from(('no', 'nc')))}"


@st.composite
def brackets(draw: st.DrawFn, depth: int) -> str:
    branches = draw(st.lists(trees(depth=max(depth, 0), load=False), min_size=2, max_size=3))
    return f"( {' | '.join(branches)} )"


@st.composite
def loads(draw: st.DrawFn, depth: int) -> str:
    number = draw(st.integers(100, 99999))
    one = draw(st.sampled_from((f"K{number}.coil", f"H{number}", f"P{number}", f"T{number}.coil", f"Y{number}")))
    if depth and draw(st.integers(0, 3)) == 0:
        return f"( {one} | {draw(trees(depth=depth - 1))} )"
    return one


@st.composite
def panels(draw: st.DrawFn) -> Circuit:
    """A few rungs; some end at points, others begin there; some join two points."""
    points: list[str] = []
    lines: list[str] = []
    for _ in range(draw(st.integers(1, 5))):
        start = draw(st.sampled_from(["", *points]))
        if draw(st.booleans()) and len(points) < 6:
            point = f"@{900 + len(points)}"
            lines.append(f"{start} {draw(trees(depth=2, load=False))} {point}")
            points.append(point)
            start = point
        text = draw(st.sampled_from(("", "Pump", "Reverse, held in until the limit")))
        lines.append(f'{start} {draw(trees(depth=2))} "{text}"')
    for _ in range(draw(st.integers(0, 2)) if len(points) > 1 else 0):
        one, other = draw(st.permutations(points))[:2]
        lines.append(f"{one} {draw(trees(depth=1, load=False))} {other}")
    words = {
        f"{letter}{n}": "Stop of the long belt" if n % 3 == 0 else "Start" for letter in "SFB" for n in range(1, 10)
    }
    count = iter(range(100, 100000))
    alone = re.compile(r"\b([KTHPYU]|X1\.)\d{3,}\b")
    return panel([alone.sub(lambda m: f"{m[1]}{next(count)}", line) for line in lines], words)
