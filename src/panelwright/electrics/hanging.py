"""What hangs behind a diode or polarised load that carries no current."""

from __future__ import annotations

from .contraction import Groups
from .solving import Settling

IDLE_AMPS = 1e-9


def hanging_apart(settling: Settling) -> tuple[int, ...] | None:
    """Numbers of what hangs together, by node; None when no diode or polarised load is idle.

    Solved as conducting, an idle diode lends its volts to whatever hangs on it. From its anode to its cathode that
    is what a meter shows; the other way round it blocks, and what hangs there floats.
    """
    if 0.0 not in settling.flows or settling.waves:
        return None
    amps = settling.branch_amps(0.0)
    idle = {e.id: e for e in settling.blocking if e.id in settling.conducting and abs(amps[e.id]) < IDLE_AMPS}
    if not idle:
        return None
    groups = Groups(settling.nodes)
    for a, b, _ in settling.bonds(0.0):
        groups.tie(a, b, 0.0)
    for key, (a, b, siemens, _) in settling.branches(0.0).items():
        if siemens and key not in idle:
            groups.tie(a, b, 0.0)
    fed = [feed.a for feed in settling.live()]
    forwards = True
    while forwards:
        live = {groups.find(node) for node in fed}
        forwards = False
        for element in idle.values():
            a, b = groups.find(element.a), groups.find(element.b)
            if a in live and b not in live:
                groups.tie(a, b, 0.0)
                forwards = True
    return tuple(groups.find(node) for node in range(settling.nodes))
