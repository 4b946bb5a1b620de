"""Old number against new number."""

from __future__ import annotations

from dataclasses import dataclass

from .plan import Wiring


@dataclass(frozen=True, slots=True)
class Renumbered:
    """A wire that is to be called otherwise; `ends`: the terminals at which a new label is due."""

    old: str
    new: str
    ends: tuple[str, ...]


def terminal_numbers(wiring: Wiring) -> dict[str, str]:
    """Terminal ("K1.13") to the number of the wire on it: what a built panel carries."""
    return {terminal: wiring.numbers[net.id] for net in wiring.nets for terminal in net.terminals}


def renumbering(old: Wiring, new: Wiring) -> tuple[Renumbered, ...]:
    """What changes its number from one wiring to the other, in the order of the old one.

    Terminals that are wired in one of them only are no renumbering.
    """
    before, after = terminal_numbers(old), terminal_numbers(new)
    changed: dict[tuple[str, str], list[str]] = {}
    for terminal, number in before.items():
        if terminal in after and after[terminal] != number:
            changed.setdefault((number, after[terminal]), []).append(terminal)
    return tuple(Renumbered(was, becomes, tuple(ends)) for (was, becomes), ends in changed.items())
