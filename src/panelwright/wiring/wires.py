"""Point-to-point wires, with number, colour, size, cable and order of work."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass

from ..circuit import Cable, Circuit, Net, WireRule
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
    cores = _Cores(circuit, where)
    far_end = circuit.heading.wire_numbers == "by other end"
    wires = []
    for stage in stages_of(list(net_of_joint), where):
        for ends in stage.joints:
            net = net_of_joint[_unordered(ends)]
            number = numbers[net.id]
            rule = _rule_for(net, circuit.wire_rules)
            cable, core = cores.core_for(ends)
            spots = where[ends[0]], where[ends[1]]
            apart = spots[0].place != spots[1].place
            wires.append(
                Wire(
                    id=" ".join(_unordered(ends)),
                    number=number,
                    ends=ends,
                    labels=(ends[1], ends[0]) if far_end else (number, number),
                    net=net.id,
                    places=(spots[0].place, spots[1].place),
                    sides=tuple(("outer" if apart else "inner") if s.strip else s.side for s in spots),  # type: ignore[arg-type]
                    stage=stage.heading,
                    power=net.power,
                    colour=rule.colour if rule else "",
                    size=rule.size if rule else None,
                    length=cable.length if cable else rule.length if rule else None,
                    cable=cable.tag if cable else "",
                    core=core,
                )
            )
    return Layout(tuple(wires), (*told, *cores.told()))


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


class _Cores:
    """Cores of the cables, handed out as the file says, else in the order of the wires that need one."""

    def __init__(self, circuit: Circuit, where: Whereabouts) -> None:
        self.cables = circuit.cables
        self.where = where
        self.written = {
            frozenset((one, other)): (cable, core) for cable in circuit.cables for core, one, other in cable.core_ends
        }
        self.used: dict[str, set[str]] = {}
        for cable in circuit.cables:
            self.used[cable.tag] = {core for core, _, _ in cable.core_ends}

    def core_for(self, ends: Joint) -> tuple[Cable | None, str]:
        """The cable and core for a conductor; (None, "") for one that needs none."""
        if frozenset(ends) in self.written:
            return self.written[frozenset(ends)]
        if self.where[ends[0]].place == self.where[ends[1]].place:
            return None, ""
        cable = next(self._between(*(end.split(".", 1)[0] for end in ends)), None)
        if cable is None:
            return None, ""
        core = next(str(n) for n in range(1, 1000) if str(n) not in self.used[cable.tag])
        self.used[cable.tag].add(core)
        return cable, core

    def _between(self, one: str, other: str) -> Iterator[Cable]:
        for cable in self.cables:
            if (one == cable.start and other in cable.ends) or (other == cable.start and one in cable.ends):
                yield cable

    def told(self) -> Iterator[str]:
        """Cables with fewer cores than the wires need."""
        for cable in self.cables:
            has = cable.cores.split()[0]
            if has.isdecimal() and int(has) < len(self.used[cable.tag]):
                yield f"Cable {cable.tag} has {has} cores and needs {len(self.used[cable.tag])}."
