"""Panel text to a network, for tests that read like the panel they are about."""

from __future__ import annotations

from dataclasses import dataclass

from panelwright.electrics import DeviceState, Network, Position, Solution, operated, position_of
from panelwright.language import read
from panelwright.wiring import Wiring, wire


@dataclass(frozen=True)
class Bench:
    """A wired panel on the bench."""

    wiring: Wiring
    network: Network

    def position(self, *tags: str, at: dict[str, str] | None = None, off: tuple[str, ...] = ()) -> Position:
        """The position with these devices operated, selectors turned; `off`: supplies and switches that are off."""
        states = operated(*tags, at=at)
        states.update({tag: DeviceState("rest", on=False) for tag in off})
        return position_of(self.wiring.circuit, states)

    def solve(self, *tags: str, at: dict[str, str] | None = None, off: tuple[str, ...] = ()) -> Solution:
        """That position, solved."""
        return self.network.solve(self.position(*tags, at=at, off=off))


def on_the_bench(text: str) -> Bench:
    """Read, wire and compile; fails on a mistake in the text."""
    reading = read(text)
    mistakes = [p.message for p in reading.problems if p.severity == "mistake"]
    assert mistakes == []
    wiring = wire(reading.circuit)
    return Bench(wiring, Network(wiring))
