"""What the volts at some places depend on: which contacts, in every position or in one, and which supplies.

A rail that an ideal supply holds lets nothing through: what lies beyond it changes no volts on this side. So a place
depends on the contacts that join it to others as far as the rails, and on those that keep it apart from more.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable

from .elements import EARTH, Element, Feed, Switch
from .network import Network
from .positions import Position


class Surroundings:
    """Everything around some nodes of a network: the two of a load, the one of a point.

    `switches`: contacts and fuses, by element id, that the volts there can depend on; `supplies`: by tag.
    """

    def __init__(self, network: Network, nodes: Iterable[int], through: frozenset[str] = frozenset()) -> None:
        """`through`: loads that supplies live from, whose surroundings are looked at already."""
        self.nodes = tuple(nodes)
        self._near: dict[int, list[tuple[int, Element]]] = defaultdict(list)
        for element in network.elements.all():
            self._near[element.a].append((element.b, element))
            self._near[element.b].append((element.a, element))
        world = self._spread({EARTH}, lambda element: True)  # what hangs together by earth alone shares no current
        feeds = [feed for feed in network.elements.feeds.values() if {feed.a, feed.b} & world]
        self._held = self._rails(network, feeds)
        reached = self._spread(self._held, lambda element: True)
        self._primaries = self._of_primaries(network, feeds, through)
        supplies = [one.supplies for one in self._primaries]
        switches = [one.switches for one in self._primaries]
        self.supplies: frozenset[str] = frozenset(feed.tag for feed in feeds).union(*supplies)
        self.switches: frozenset[str] = self._beside(reached).union(*switches)

    @staticmethod
    def _of_primaries(network: Network, feeds: Iterable[Feed], through: frozenset[str]) -> list[Surroundings]:
        """The surroundings of what the supplies live from."""
        names = dict.fromkeys(feed.primary for feed in feeds if feed.primary in network.elements.consumers)
        consumers = [network.elements.consumers[name] for name in names if name not in through]
        return [Surroundings(network, (one.a, one.b), through | set(names)) for one in consumers]

    @staticmethod
    def _rails(network: Network, feeds: list[Feed]) -> set[int]:
        """The nodes that hold their volts whatever hangs on them: rails of the one supply, when it is ideal."""
        if len({feed.tag for feed in feeds}) != 1 or any(feed.ohms for feed in feeds):
            return set()
        rails = {node for feed in feeds for node in (feed.a, feed.b)}
        straps = (switch for switch in network.elements.switches.values() if switch.sort == "strap")
        return rails | {EARTH} if any({strap.a, strap.b} & rails for strap in straps) else rails

    def _spread(self, stop: set[int], conducts: Callable[[Element], bool]) -> set[int]:
        """Nodes that hang together with ours; those where it stops among them."""
        found, waiting = set(self.nodes), list(self.nodes)
        while waiting:
            node = waiting.pop()
            for other, element in () if node in stop else self._near[node]:
                if other not in found and conducts(element):
                    found.add(other)
                    waiting.append(other)
        return found

    def _beside(self, nodes: set[int]) -> frozenset[str]:
        """Contacts and fuses with an end at one of the nodes that do not hold their volts."""
        return frozenset(
            element.id
            for node in nodes - self._held
            for _, element in self._near[node]
            if isinstance(element, Switch) and element.sort in ("contact", "fuse")
        )

    def in_position(self, position: Position) -> frozenset[str]:
        """The contacts and fuses of which it is enough to know, in one position, for the volts there."""
        if not self._held:
            return self.switches
        island = self._spread(self._held, lambda element: _conducts(element, position))
        return self._beside(island).union(*(one.in_position(position) for one in self._primaries))


def _conducts(element: Element, position: Position) -> bool:
    """Whether something may flow through an element in a position."""
    if not isinstance(element, Switch):
        return True
    return element.id in position.closed if element.sort == "contact" else element.id not in position.blown


def surroundings_of(network: Network, place: str) -> Surroundings:
    """Around a load, by element id, or a point, rail or terminal. Raises UnknownPlace."""
    consumer = network.elements.consumers.get(place)
    return Surroundings(network, (consumer.a, consumer.b) if consumer else (network.node(place),))
