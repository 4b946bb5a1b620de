"""Power paths as columns of parallel wires that hang on rails and on common points."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from ...circuit import Circuit, PathUse, PowerPath, Star, Swap, net_of, nets_of


@dataclass(slots=True, eq=False)
class Knot:
    """Where columns meet: one line across for each net, in this order. `rails`: the lines of the supply."""

    nets: tuple[str, ...]
    rails: bool = False
    u: float = 0.0
    columns: set[int] = field(default_factory=set)


@dataclass(slots=True, eq=False)
class Column:
    """One power path. `nets[k]`: the net of each wire before item k; one more at the end (() when the path ends).

    `start` and `end`: the knots it hangs on, None where it has none; `passes`: knots that it crosses before item k.
    `place`: which column of the sheet.
    """

    path: PowerPath
    items: list[PathUse | Swap | Star]
    nets: list[tuple[str, ...]]
    start: Knot | None = None
    end: Knot | None = None
    place: int = 0
    passes: dict[int, Knot] = field(default_factory=dict)


def columns_of(circuit: Circuit) -> tuple[list[Column], list[Knot]]:
    """The columns of all power paths and the knots that join them, rails first."""
    named = {rail: net.id for net in nets_of(circuit) for rail in net.rails}
    named |= {f"@{point}": net.id for net in nets_of(circuit) for point in net.points}
    by_terminal = {terminal: net.id for terminal, net in net_of(circuit).items()}
    columns = [_column(path, named, by_terminal) for path in circuit.power_paths if path.items]
    knots = _tie(columns, set(circuit.rails))
    _place(columns, knots)
    return columns, knots


def _column(path: PowerPath, named: Mapping[str, str], terminals: Mapping[str, str]) -> Column:
    items = [*path.items]
    wires = tuple(named.get(str(name), str(name)) for name in path.starts)
    if not path.starts and isinstance(items[0], PathUse):
        first = items.pop(0)
        assert isinstance(first, PathUse)
        wires = tuple(terminals.get(f"{first.device}.{leaves}", "") for _, leaves in first.pairs)
    nets = [wires]
    for item in items:
        if isinstance(item, Swap):
            changed = [*wires]
            changed[item.first], changed[item.second] = changed[item.second], changed[item.first]
            wires = tuple(changed)
        elif isinstance(item, PathUse):
            ends = all(not leaves for _, leaves in item.pairs)
            wires = () if ends else tuple(terminals.get(f"{item.device}.{leaves}", "") for _, leaves in item.pairs)
        else:
            wires = ()
        nets.append(wires)
    return Column(path, items, nets)


def _tie(columns: list[Column], rails: set[str]) -> list[Knot]:
    """One knot for the rails; one for each set of nets at which columns begin or end."""
    on_rails = dict.fromkeys(
        net
        for column in columns
        for name, net in zip(column.path.starts, column.nets[0], strict=False)
        if str(name) in rails
    )
    supply = Knot(tuple(on_rails), rails=True)
    sets: list[tuple[str, ...]] = []
    inner = [c.nets[0] for c in columns] + [c.nets[-1] for c in columns if c.path.ends]
    for wires in sorted(inner, key=len, reverse=True):
        if wires and not set(wires) <= set(on_rails) and not any(set(wires) <= set(s) for s in sets):
            sets.append(wires)
    knots = [supply, *(Knot(wires) for wires in sets)]

    def knot_for(wires: tuple[str, ...]) -> Knot | None:
        return next((k for k in knots if wires and set(wires) <= set(k.nets)), None)

    for column in columns:
        column.start = knot_for(column.nets[0])
        column.end = knot_for(column.nets[-1]) if column.path.ends else None
        for index, wires in enumerate(column.nets[1:-1], start=1):
            through = knot_for(wires)
            if through is not None and not through.rails and through not in (column.start, column.end):
                column.passes[index] = through
    return knots


def _place(columns: list[Column], knots: list[Knot]) -> None:
    """Left to right, depth first; what goes on from the end of a column stands below it."""
    place = 0
    done: set[int] = set()
    waiting = [*range(len(columns))]

    def put(index: int, here: int) -> None:
        nonlocal place
        column = columns[index]
        done.add(index)
        column.place = here
        for knot in (column.start, column.end, *column.passes.values()):
            if knot is not None:
                knot.columns.add(here)
        if column.end is None:
            return
        first = True
        for other in waiting:
            if other not in done and columns[other].start is column.end:
                if not first:
                    place += 1
                put(other, here if first else place)
                first = False

    def on_rails(index: int) -> bool:
        start = columns[index].start
        return start is not None and start.rails

    for index in sorted(waiting, key=lambda i: not on_rails(i)):
        if index not in done:
            put(index, place)
            place += 1
