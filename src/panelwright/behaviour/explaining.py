"""Why something is as it is: the path that feeds a load, or what is open on its way."""

from __future__ import annotations

import heapq
from collections.abc import Iterator
from itertools import permutations

from ..circuit import Load
from ..electrics import Level
from .paths import around, conducts_in, contacts_on, feeding_path, listed, poles, spoken
from .state import PanelState


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
        through = contacts_on(circuit, path or ())
        words = f" through {listed([spoken(circuit, e) for e in through])}" if through else ""
        return f"{name} has {volts}{words}"
    missing = missing_contacts(state, element)
    if missing is None:
        return f"{name} has {volts}; no way leads to it"
    if not missing:
        return "; ".join((f"{name} has {volts}", *_dead_supplies(state)))
    return f"{name} has {volts}; open on its way: {listed(list(dict.fromkeys(spoken(circuit, e) for e in missing)))}"


def _dead_supplies(state: PanelState) -> Iterator[str]:
    """Supplies that give nothing, and why."""
    for feed in state.network.elements.feeds.values():
        if feed.tag in state.position.off:
            yield f"{feed.tag} is off"
        elif feed.primary and state.solution.verdict(feed.primary) != "full":
            primary = state.circuit.elements[feed.primary][1]
            if isinstance(primary, Load):
                yield f"{feed.tag} gives no volts: {_why_load(state, feed.primary, primary)}"


def _why_motor(state: PanelState, tag: str) -> str:
    motor = state.circuit.by_tag[tag].motors[0]
    answer = state.solution.motor(f"{tag}.{motor.name}")
    low, high = answer.volts
    across = volts_text(high) if high - low < 1 else f"{volts_text(low)} to {volts_text(high)}"
    return f"the windings of {tag} have {across}"


def missing_contacts(state: PanelState, element: str) -> tuple[str, ...] | None:
    """The fewest contacts and fuses that would have to close to feed a load; None when no way leads to it."""
    load = state.network.elements.consumers.get(element)
    if load is None:
        return None
    ways = [_fewest(state, node) for node in (load.a, load.b)]
    best: tuple[str, ...] | None = None
    for nodes in poles(state.network).values():
        for one, other in permutations(sorted(nodes), 2):
            if one in ways[0] and other in ways[1]:
                needed = tuple(dict.fromkeys((*ways[0][one], *ways[1][other])))
                best = needed if best is None or len(needed) < len(best) else best
    return best


def _fewest(state: PanelState, start: int) -> dict[int, tuple[str, ...]]:
    """Open switches on the way from a node to every other node, by the way that has fewest of them."""
    steps, conducts = around(state.network), conducts_in(state.network, state.position)
    line: list[tuple[int, int, tuple[str, ...]]] = [(0, start, ())]
    done: dict[int, tuple[str, ...]] = {}
    while line:
        cost, node, opened = heapq.heappop(line)
        if node in done:
            continue
        done[node] = opened
        for element, other in steps.get(node, ()):
            if other not in done:
                passes = conducts(element)
                heapq.heappush(line, (cost + (not passes), other, opened if passes else (*opened, element)))
    return done


def volts_text(volts: float) -> str:
    """"24 V", "0.4 V"."""
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
