"""Wire numbers: one for each net."""

from __future__ import annotations

from ..circuit import Circuit, Net


def numbered(circuit: Circuit, nets: tuple[Net, ...]) -> dict[str, str]:
    """Net id to wire number by the scheme of the heading; rails and named points keep their name."""
    numbers = {net.id: net.id for net in nets if net.rails or net.points}
    taken = {name for net in nets for name in (*net.rails, *net.points)}
    count = 0
    for net in nets:
        if net.id in numbers:
            continue
        count += 1
        while str(count) in taken:
            count += 1
        numbers[net.id] = str(count)
    return numbers
