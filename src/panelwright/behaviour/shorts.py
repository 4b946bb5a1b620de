"""Short circuits as a trial means them: a supply whose volts have gone down because it gives all it can."""

from __future__ import annotations

from ..electrics import Network, Short, Solution

COLLAPSED = 0.5  # of its volts: a supply that is overloaded and gives less is as good as shorted; common practice


def shorts_in(network: Network, solution: Solution) -> tuple[Short, ...]:
    """Shorted supplies, and overloaded ones whose volts have collapsed (a diode the wrong way round, for instance)."""
    found = list(solution.shorts)
    known = {short.source for short in found}
    feeds = network.elements.feeds
    for over in solution.overloads:
        feed = feeds.get(over.element)
        if feed is None or over.element in known:
            continue
        if solution.across(over.element).effective < COLLAPSED * abs(feed.volts):
            found.append(Short(over.element, (), "", over.amps, False))
    return tuple(found)
