"""Point-to-point wires, with number, colour, size, cable and order of work."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass

from ..circuit import Circuit, Net, WireRule
from .cores import Core, Cores
from .plan import Wire
from .strips import fixed_joints
from .tree import Joint, wired_net
from .whereabouts import Whereabouts
from .work import stages_of


@dataclass(frozen=True, slots=True)
class Layout:
    """Wires in order of work and what has to be said about them."""

    wires: tuple[Wire, ...]
    told: tuple[str, ...]


def wires_of(
    circuit: Circuit, nets: tuple[Net, ...], numbers: Mapping[str, str], kept: Collection[Joint] = ()
) -> Layout:
    """The wires of an allotted circuit: one conductor fewer than terminals in each net. `kept`: laid already."""
    where = Whereabouts(circuit)
    net_of_joint: dict[Joint, Net] = {}
    told: list[str] = []
    fixed = _by_net(fixed_joints(circuit), nets)
    laid = _by_net(sorted(kept), nets)
    for net in nets:
        tree = wired_net(net.terminals, fixed.get(net.id, ()), where, laid.get(net.id, ()))
        net_of_joint |= {_unordered(j): net for j in tree.joints}
        told += [_overfull(t, numbers[net.id], where[t].conductors) for t in tree.full]
    cores = Cores(circuit, where)
    wires = []
    for stage in stages_of(list(net_of_joint), where):
        for ends in stage.joints:
            net = net_of_joint[_unordered(ends)]
            wires.append(_wire(ends, net, numbers[net.id], stage.heading, circuit, where, cores))
    return Layout(tuple(wires), (*told, *cores.told()))


def _wire(ends: Joint, net: Net, number: str, stage: str, circuit: Circuit, where: Whereabouts, cores: Cores) -> Wire:
    rule = _rule_for(net, circuit.wire_rules)
    core = cores.core_for(ends, number, net.protective)
    spots = where[ends[0]], where[ends[1]]
    strip_side = "outer" if where.outer(*ends) else "inner"
    one, other = (strip_side if spot.strip else spot.side for spot in spots)
    return Wire(
        id=" ".join(_unordered(ends)),
        number=number,
        ends=ends,
        labels=(ends[1], ends[0]) if circuit.heading.wire_numbers == "by other end" else (number, number),
        net=net.id,
        places=(spots[0].place, spots[1].place),
        sides=(one, other),
        stage=stage,
        power=net.power,
        colour=_colour(net, rule, core),
        size=core.size if core else rule.size if rule else None,
        length=core.length if core else rule.length if rule else None,
        cable=core.cable if core else "",
        core=core.name if core else "",
    )


def _colour(net: Net, rule: WireRule | None, core: Core | None) -> str:
    """The protective conductor is green-yellow (IEC 60204-1) unless the file itself says otherwise for PE.

    The cores of a cable have the colours of the cable.
    """
    if net.protective and (rule is None or rule.which not in net.rails):
        return "green-yellow"
    return rule.colour if rule is not None and core is None else ""


def _by_net(joints: Collection[Joint], nets: tuple[Net, ...]) -> dict[str, list[Joint]]:
    """Joints with both ends on one net, by its id."""
    if not joints:
        return {}
    net_at = {terminal: net.id for net in nets for terminal in net.terminals}
    found: dict[str, list[Joint]] = {}
    for one, other in joints:
        if one in net_at and net_at[one] == net_at.get(other):
            found.setdefault(net_at[one], []).append((one, other))
    return found


def _unordered(joint: Joint) -> Joint:
    one, other = joint
    return (one, other) if one < other else (other, one)


def _overfull(terminal: str, number: str, conductors: int) -> str:
    takes = "one conductor" if conductors == 1 else f"{conductors} conductors"
    return f"{terminal} takes {takes}, and wire {number} needs more there: lead it over a strip (X1.1 in the rung)."


def _rule_for(net: Net, rules: tuple[WireRule, ...]) -> WireRule | None:
    """The most special rule: a point, then a rail, then the class."""
    points = {f"@{name}" for name in net.points}
    families = {f"@{name.split('.')[0]}" for name in net.points}
    for which in (points, families, {*net.rails}, {"power" if net.power else "control"}):
        for rule in rules:
            if rule.which in which:
                return rule
    return None
