"""The cheapest set of stock parts that fits a parts list, exactly: packs, pieces at hand and shared contact blocks.

A whole-number programme: every line of the list is filled from its ways (a part that fits, or a head and contact
blocks); what is taken of a part is at most what is at hand and what its packs hold; the money for packs is least.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from difflib import get_close_matches
from itertools import product
from typing import Any

from ..catalog.shelf import plain
from ..circuit import Device
from .contacts import ContactLoad
from .fitting import misfits
from .parts_list import PartLine, PartsList
from .stock import Stock, StockPart

Loads = Mapping[str, tuple[ContactLoad, float, bool]]


@dataclass(frozen=True, slots=True)
class Way:
    """Stock parts that together make one piece of a line, with how many of each."""

    parts: tuple[tuple[int, int], ...]  # place in the stock list, pieces


@dataclass(frozen=True, slots=True)
class Bought:
    """What is taken of a stock part: pieces in all, of these from what is at hand, and packs to buy."""

    part: StockPart
    pieces: int
    from_hand: int
    packs: int

    @property
    def price(self) -> float:
        """Money for the packs."""
        return self.packs * (self.part.price or 0.0)


@dataclass(frozen=True, slots=True)
class Filled:
    """A line of the parts list with the stock parts for it: name and pieces; `lacks` pieces, and why."""

    line: PartLine
    taken: tuple[tuple[str, int], ...]
    lacks: int = 0
    why: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Choice:
    """The cheapest set. `bought`: in the order of the stock list."""

    filled: tuple[Filled, ...]
    bought: tuple[Bought, ...]

    @property
    def price(self) -> float:
        """Money for all packs."""
        return sum(one.price for one in self.bought)

    @property
    def whole(self) -> bool:
        """Whether every line is filled."""
        return all(not one.lacks for one in self.filled)


def choose(parts: PartsList, stock: Stock, loads: Loads) -> Choice:
    """The cheapest stock parts for a list; lines that nothing fits say what comes nearest and what it lacks."""
    ways = [tuple(_ways(line, stock.parts, loads)) for line in parts.lines]
    counts, packs = _solved(parts.lines, ways, stock.parts)
    taken: Counter[int] = Counter()
    filled = []
    for at, line in enumerate(parts.lines):
        used: Counter[int] = Counter()
        for way, count in zip(ways[at], counts[at], strict=True):
            for place, pieces in way.parts:
                used[place] += pieces * count
        taken += used
        lacks = line.pieces - sum(counts[at])
        names = tuple((stock.parts[place].name, pieces) for place, pieces in sorted(used.items()) if pieces)
        filled.append(Filled(line, names, lacks, _why(line, ways[at], stock.parts, loads) if lacks else ()))
    bought = tuple(
        Bought(part, taken[place], min(taken[place], part.have), packs[place])
        for place, part in enumerate(stock.parts) if taken[place]
    )  # fmt: skip
    return Choice(tuple(filled), bought)


# ---- ways
def _ways(line: PartLine, parts: Sequence[StockPart], loads: Loads) -> Iterator[Way]:
    if not line.devices:
        for place, part in enumerate(parts):
            if part.device is None and not part.block and plain(part.part) == plain(line.description):
                yield Way(((place, 1),))
        return
    for place, part in enumerate(parts):
        if part.device is not None and not any(misfits(device, loads, part) for device in line.devices):
            yield Way(((place, 1),))
    yield from _built_up(line.devices, parts, loads)


def _built_up(devices: Sequence[Device], parts: Sequence[StockPart], loads: Loads) -> Iterator[Way]:
    """A head without contacts and blocks for them, for hand-worked switches."""
    wanted = Counter(contact.form for contact in devices[0].contacts)
    if not wanted or devices[0].grows or any(c.main for c in devices[0].contacts) or devices[0].loads:
        return
    bare = [
        replace(device, parts=(), facts=tuple(f for f in device.facts if f.name != "contacts")) for device in devices
    ]
    heads = [
        place for place, part in enumerate(parts)
        if part.device is not None and not part.device.contacts and not any(misfits(one, {}, part) for one in bare)
    ]  # fmt: skip
    blocks = [[(place, part) for place, part in enumerate(parts) if part.block == form.upper()] for form in wanted]
    for head in heads:
        for chosen in product(*blocks):
            pairs = zip(chosen, wanted.values(), strict=True)
            yield Way(((head, 1), *((place, -(-number // part.blocks)) for (place, part), number in pairs)))


# ---- the programme
def _solved(
    lines: Sequence[PartLine], ways: Sequence[Sequence[Way]], parts: Sequence[StockPart]
) -> tuple[list[list[int]], list[int]]:
    """How often each way is taken, and how many packs of each part: as much filled as can be, then the least money.

    Unknowns: a count for each way, then packs for each part. Two programmes, for one that weighs both would have to
    trust the solver's tolerance.
    """
    import numpy as np
    from scipy.optimize import LinearConstraint

    flat = [(at, way) for at, some in enumerate(ways) for way in some]
    if not flat:
        return [[] for _ in ways], [0] * len(parts)
    size = len(flat) + len(parts)
    rows = np.zeros((len(parts) + len(lines), size))
    for column, (at, way) in enumerate(flat):
        rows[len(parts) + at, column] = 1
        for place, pieces in way.parts:
            rows[place, column] += pieces
    for place, part in enumerate(parts):
        rows[place, len(flat) + place] = -part.pack
    room = LinearConstraint(rows, -np.inf, [*(part.have for part in parts), *(line.pieces for line in lines)])
    filled = np.array([1.0] * len(flat) + [0.0] * len(parts))
    money = np.array([0.0] * len(flat) + [part.price or 0.0 for part in parts])
    most = [np.inf] * len(flat) + [0.0 if part.price is None else np.inf for part in parts]
    best = _least(-filled, [room], most)
    enough = LinearConstraint(filled, sum(best[: len(flat)]) - 0.5, np.inf)
    found = _least(money, [room, enough], most)
    counts: list[list[int]] = [[] for _ in ways]
    for (at, _), count in zip(flat, found, strict=False):
        counts[at].append(count)
    return counts, found[len(flat) :]


def _least(cost: Any, constraints: list[Any], most: Sequence[float]) -> list[int]:
    """Whole numbers of least cost, exactly."""
    import numpy as np
    from scipy.optimize import Bounds, milp

    result = milp(cost, constraints=constraints, bounds=Bounds(0, most), integrality=np.ones(len(most)),
                  options={"mip_rel_gap": 0.0})  # fmt: skip
    return [round(value) for value in result.x]


# ---- what does not fit
def _why(line: PartLine, ways: Sequence[Way], parts: Sequence[StockPart], loads: Loads) -> tuple[str, ...]:
    """Why a line is not filled: no more of what fits, or what the nearest parts lack."""
    if ways:
        names = ", ".join(dict.fromkeys(parts[place].name for way in ways for place, _ in way.parts))
        return (f"{names} would fit, but there are no more at hand and no price to buy them at",)
    if not line.devices:
        others = [part.part for part in parts if part.device is None and not part.block]
        alike = get_close_matches(line.description, others, 1)
        meant = f'; "{alike[0]}" is near: such parts are compared word for word' if alike else ""
        return (f'nothing in the list is called "{line.description}"{meant}',)
    device = line.devices[0]
    near = [(misfits(device, loads, part), part) for part in parts if part.device is not None]
    same = sorted(
        (one for one in near if one[1].device and one[1].device.kind == device.kind), key=lambda one: len(one[0])
    )
    if not same:
        return (f"the list has no {device.kind}",)
    return tuple(f"{part.name}: {'; '.join(wrong)}" for wrong, part in same[:2])
