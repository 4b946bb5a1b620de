"""The wires of the cold test: pairs of terminals to read, where to stand, what to hold, how many ohms."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from itertools import groupby

from ..catalog.cables import conductor_ohms
from ..circuit import Circuit, Net
from ..wiring import Wire, Wiring
from .cold_bench import BASE, ColdBench, ColdPosition
from .places import place_of
from .probing import ohms_text
from .sheet import Part, SheetLine
from .situations import DEAD

ONLY_THE_WIRE = (
    "A buzzer or ohmmeter has to show the conductor and nothing else: hold what is named, so that no other way beeps."
)
FAR_ENDS = (
    "Where the leads do not reach, use a spare core or a long lead as one of them, "
    "and take off what it reads by itself."
)
BEEP_OHMS = 30.0  # a buzzer sounds below it; common practice, no source
SHOWN_OHMS = 0.3  # a wire of less is not worth a figure: leads have as much; common practice, no source


def wire_parts(bench: ColdBench, pairs: Sequence[SheetLine]) -> Iterator[Part]:
    """The wires by where their ends are, so that nobody walks to and fro."""
    lines = [(where(bench.circuit, line), line) for line in pairs]
    order = {place: number for number, place in enumerate(dict.fromkeys(place for place, _ in lines))}
    lines.sort(key=lambda one: (" to " in one[0], order[one[0]]))
    words: tuple[str, ...] = (f"{BASE[0].upper()}{BASE[1:]}.",) if bench.base.situation != DEAD else ()
    words = (*words, ONLY_THE_WIRE)
    for place, group in groupby(lines, key=lambda one: one[0]):
        far = (FAR_ENDS,) if " to " in place else ()
        yield Part(f"Wires, end to end: {place}", tuple(line for _, line in group), (*words, *far))
        words = ()


def where(circuit: Circuit, line: SheetLine) -> str:
    """ "plate", or "door to plate" whichever way round."""
    one, other = sorted(place_of(circuit, end) or "plate" for end in (line.a, line.b))
    return one if one == other else f"{one} to {other}"


def net_lines(bench: ColdBench, net: Net) -> Iterator[SheetLine]:
    """Pairs of terminals so that every terminal is touched and every wire lies between some pair.

    Half a turn apart in the order in which the wires reach them: any one wire parts the terminals in two stretches,
    and no pair lies on one side only.
    """
    order = wired_order(bench.wiring, net)
    if len(order) < 2:
        return
    half = len(order) // 2
    pairs = [(order[i], order[i + half]) for i in range(half)]
    if len(order) % 2:
        pairs.append((order[0], order[-1]))
    wires = [wire for wire in bench.wiring.wires if wire.net == net.id]
    for a, b in pairs:
        at, mind = quiet_position(bench, a, b)
        do = f"{a} to {b}, wire {bench.wiring.numbers.get(net.id, '')}" + (f", with {at.held}" if at.held else "")
        ohms = sum(wire_ohms(wire) for wire in way_along(wires, a, b))
        words = f"{ohms:.1f} ohm, beeps" if ohms > SHOWN_OHMS else "0 ohm, beeps"
        yield SheetLine(do, words, "ohms", a, b, at.situation, round(ohms, 2), mind=mind)


def wire_ohms(wire: Wire) -> float:
    """Of a wire whose length and size the file says; else 0."""
    return conductor_ohms(wire.length.value, wire.size.value) if wire.length and wire.size else 0.0


def way_along(wires: Sequence[Wire], a: str, b: str) -> list[Wire]:
    """The wires of a net that lie between two of its terminals."""
    before: dict[str, Wire] = {}
    line, seen = [a], {a}
    for here in line:
        for wire in wires:
            if here in wire.ends:
                other = wire.ends[0] if wire.ends[1] == here else wire.ends[1]
                if other not in seen:
                    seen.add(other)
                    before[other] = wire
                    line.append(other)
    found = []
    while b != a and b in before:
        wire = before[b]
        found.append(wire)
        b = wire.ends[0] if wire.ends[1] == b else wire.ends[1]
    return found


def wired_order(wiring: Wiring, net: Net) -> list[str]:
    """The terminals of a net in the order in which one reaches them along its wires, depth first."""
    ways: dict[str, list[str]] = defaultdict(list)
    for wire in wiring.wires:
        if wire.net == net.id:
            ways[wire.ends[0]].append(wire.ends[1])
            ways[wire.ends[1]].append(wire.ends[0])
    found: list[str] = []
    for start in sorted(net.terminals, key=lambda t: (len(ways[t]), net.terminals.index(t))):
        line = [start]
        while line:
            here = line.pop()
            if here not in found:
                found.append(here)
                line += [other for other in reversed(ways[here]) if other not in found]
    return [terminal for terminal in found if ways[terminal]]


def quiet_position(bench: ColdBench, a: str, b: str) -> tuple[ColdPosition, str]:
    """Where no other way round would beep if the wires were missing, and a word about it where there is none."""
    first_words = ""
    for at in bench.positions:
        around = bench.ohms_around(at, a, b)
        if around is None or around > BEEP_OHMS:
            return at, ""
        first_words = (
            first_words or f"beeps falsely through other parts ({ohms_text(around)}): take the lead off {a} first"
        )
    return bench.base, first_words
