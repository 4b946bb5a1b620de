"""Why something is as it is: the path that feeds a load, or what is open on its way."""

from __future__ import annotations

import heapq
from collections.abc import Iterator
from itertools import permutations

from ..circuit import Load
from ..electrics import Level
from .paths import around, conducts_in, contacts_on, feeding_path, listed, poles, spoken
from .state import PanelState

OWN_COST = 100  # ways over contacts that the load itself moves come last


def why(state: PanelState, tag: str) -> str:
    """One sentence on why a device does what it does now, with volts; "" when nothing can be said."""
    circuit = state.circuit
    device = circuit.by_tag.get(tag)
    if device is None:
        return ""
    stand = state.stands.get(tag)
    if stand is not None and stand.stuck:
        return f"{tag} is stuck"
    if device.motors:
        return _why_motor(state, tag)
    loads = [load for load in device.loads if load.sort != "primary"]
    told = [_why_load(state, f"{tag}.{load.name}", load) for load in loads]
    return "; ".join(told)


def _why_load(state: PanelState, element: str, load: Load) -> str:
    circuit, solution = state.circuit, state.solution
    answer = solution.load(element)
    volts = volts_text(answer.acting_v)
    name = spoken(circuit, element)
    if element not in state.network.elements.consumers:
        return f"{name} is open"
    if answer.verdict == "partial":
        return (
            f"{name} has {volts}, between {volts_text(answer.rests_v)} where it surely rests "
            f"and {volts_text(answer.works_v)} where it surely works"
        )
    path = feeding_path(state.network, state.position, element)
    if answer.verdict == "full":
        through = contacts_on(circuit, path)
        words = f" through {listed([spoken(circuit, e) for e in through])}" if through else ""
        return f"{name} has {volts}{words}"
    missing = missing_contacts(state, element)
    if missing is None:
        return f"{name} has {volts}; no way leads to it"
    supply, contacts = missing
    reasons = [f"{name} has {volts}", *_dead_supply(state, supply)]
    if contacts:
        reasons.append(f"open on its way: {listed(list(dict.fromkeys(spoken(circuit, e) for e in contacts)))}")
    return "; ".join(reasons)


def _dead_supply(state: PanelState, tag: str) -> Iterator[str]:
    """Why a supply gives nothing, if it does not."""
    if tag in state.position.off:
        yield f"{tag} is off"
        return
    feed = next(feed for feed in state.network.elements.feeds.values() if feed.tag == tag)
    if feed.primary and state.solution.verdict(feed.primary) != "full":
        primary = state.circuit.elements[feed.primary][1]
        if isinstance(primary, Load):
            yield f"{tag} gives no volts: {_why_load(state, feed.primary, primary)}"


def _why_motor(state: PanelState, tag: str) -> str:
    low, high = state.motor_answer(state.circuit.by_tag[tag]).volts
    across = volts_text(high) if high - low < 1 else f"{volts_text(low)} to {volts_text(high)}"
    return f"the windings of {tag} have {across}"


def missing_contacts(state: PanelState, element: str) -> tuple[str, tuple[str, ...]] | None:
    """The supply, and the fewest contacts and fuses that would have to close for it to feed a load.

    None when no way leads to it. A contact that the load itself moves is taken only if nothing else would do.
    """
    load = state.network.elements.consumers.get(element)
    if load is None:
        return None
    own = f"{element.partition('.')[0]}."
    ways = [_fewest(state, node, own) for node in (load.a, load.b)]
    best: tuple[int, str, tuple[str, ...]] | None = None
    for tag, nodes in poles(state.network).items():
        for one, other in permutations(sorted(nodes), 2):
            if one in ways[0] and other in ways[1]:
                cost = ways[0][one][0] + ways[1][other][0]
                if best is None or cost < best[0]:
                    best = cost, tag, tuple(dict.fromkeys((*ways[0][one][1], *ways[1][other][1])))
    return None if best is None else best[1:]


def _fewest(state: PanelState, start: int, own: str) -> dict[int, tuple[int, tuple[str, ...]]]:
    """Cost and open switches of the way from a node to every other node that has fewest open ones."""
    steps, conducts = around(state.network), conducts_in(state.network, state.position)
    line: list[tuple[int, int, tuple[str, ...]]] = [(0, start, ())]
    done: dict[int, tuple[int, tuple[str, ...]]] = {}
    while line:
        cost, node, opened = heapq.heappop(line)
        if node in done:
            continue
        done[node] = cost, opened
        for element, other in steps.get(node, ()):
            if other in done:
                continue
            if conducts(element):
                heapq.heappush(line, (cost, other, opened))
            else:
                heapq.heappush(line, (cost + (OWN_COST if element.startswith(own) else 1), other, (*opened, element)))
    return done


def volts_text(volts: float) -> str:
    """ "24 V", "0.4 V"."""
    return f"{volts:.0f} V" if volts >= 100 else f"{volts:.3g} V" if abs(volts) >= 0.05 else "0 V"


def level_text(level: Level, unit: str = "V") -> str:
    """A reading in words: "24 V dc", "120 V ac", "24 V dc and 3 V ac"; "nothing defined" for floating places."""
    if level.floating:
        return "no defined volts (floating)"
    scale, prefix = (1000.0, "m") if unit == "A" and level.effective < 1 else (1.0, "")
    parts = []
    if abs(level.dc) * scale >= 0.05:
        parts.append(f"{level.dc * scale:.4g} {prefix}{unit} dc")
    if level.ac_effective * scale >= 0.05:
        parts.append(f"{level.ac_effective * scale:.4g} {prefix}{unit} ac")
    return " and ".join(parts) or f"0 {unit}"
