"""The terminal plan: what is on either side of each strip terminal."""

from __future__ import annotations

from dataclasses import dataclass

from .plan import Wiring
from .strips import is_strip


@dataclass(frozen=True, slots=True)
class StripTerminal:
    """One terminal: wire number ("" while free), what lies on its inner and its outer side, cable and core."""

    terminal: str
    number: str
    inner: tuple[str, ...]
    outer: tuple[str, ...]
    cores: tuple[str, ...]


def strip_plan(wiring: Wiring) -> dict[str, tuple[StripTerminal, ...]]:
    """Per strip its terminals in order, free ones too. Inner: towards the place of the strip; outer: away from it."""
    on: dict[str, list[tuple[str, str, str]]] = {}
    for wire in wiring.wires:
        for end, far, side in zip(wire.ends, wire.ends[::-1], wire.sides, strict=True):
            on.setdefault(end, []).append((side, far, wire.core_told))
    number = {terminal: wiring.numbers[net.id] for net in wiring.nets for terminal in net.terminals}
    plan: dict[str, tuple[StripTerminal, ...]] = {}
    for device in wiring.circuit.devices:
        if is_strip(device):
            plan[device.tag] = tuple(_terminal(f"{device.tag}.{mark}", number, on) for mark in device.terminals)
    return plan


def _terminal(terminal: str, number: dict[str, str], on: dict[str, list[tuple[str, str, str]]]) -> StripTerminal:
    laid = on.get(terminal, ())
    return StripTerminal(
        terminal,
        number.get(terminal, ""),
        tuple(far for side, far, _ in laid if side == "inner"),
        tuple(far for side, far, _ in laid if side == "outer"),
        tuple(core for _, _, core in laid if core),
    )
