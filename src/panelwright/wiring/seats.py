"""The seats that uses have in the rungs, and which contacts in series may change theirs."""

from __future__ import annotations

from collections.abc import Container, Iterator, Mapping, Sequence
from dataclasses import dataclass

from ..circuit import Circuit, Item, Net, Parallel, Series, Use


@dataclass(frozen=True, slots=True)
class Seat:
    """A place for a use in a rung: `rung` counts from 1, `follows`: directly behind the seat before, in series."""

    rung: int
    use: Use
    follows: bool


def seats_of(circuit: Circuit) -> tuple[Seat, ...]:
    """Every seat in reading order."""
    return tuple(seat for n, rung in enumerate(circuit.rungs, 1) for seat in _seats(rung.body, n, False))


def _seats(item: Item, rung: int, follows: bool) -> Iterator[Seat]:
    if isinstance(item, Use):
        yield Seat(rung, item, follows)
    elif isinstance(item, Parallel):
        for branch in item.branches:
            yield from _seats(branch, rung, False)
    elif isinstance(item, Series):
        before: Item | None = None
        for inner in item.items:
            yield from _seats(inner, rung, isinstance(before, Use) and isinstance(inner, Use))
            before = inner


def runs_in(
    seats: Sequence[Seat], provisional: Mapping[int, Use], movable: Container[int], nets: Mapping[str, Net]
) -> tuple[tuple[int, ...], ...]:
    """Seats (indices) of contacts in series that may change places, two or more together.

    Between two of them nothing else is on the wire: two ends, no rail, no named point. `movable`: seats of open
    contacts that stand nowhere else. Two contacts of one device never change places with each other.
    `provisional`: the uses with provisional terminals, `nets` the nets of that circuit by terminal.
    """
    runs: list[list[int]] = []
    for index, seat in enumerate(seats):
        if index not in movable:
            continue
        run = runs[-1] if runs else []
        behind = bool(run) and run[-1] == index - 1 and seat.follows and _only_two(provisional[index - 1], nets)
        if behind and all(seats[i].use.device != seat.use.device for i in run):
            run.append(index)
        else:
            runs.append([index])
    return tuple(tuple(run) for run in runs if len(run) > 1)


def _only_two(before: Use, nets: Mapping[str, Net]) -> bool:
    """Whether the wire behind `before` goes to nothing but the next contact."""
    net = nets[f"{before.device}.{(before.terminals or ('', ''))[1]}"]
    return len(net.terminals) == 2 and not net.rails and not net.points
