"""The present state of a panel, as the short facts from which the page repaints: one value a net, part and device."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cached_property
from typing import Any

from ..behaviour import PanelState
from ..circuit import Contact, Device, Fuse, Link, Load, Net, uses_in
from ..electrics import Level, UnknownPlace
from ..sheets.live import LiveState, Potential, looks_of
from ..sheets.rungs.faces import form_of
from ..wiring import Wiring

NEARLY_NOTHING = 0.02  # of the supply's volts; below it a conductor shows no label
MOST_SAID = 7  # devices named in the head line
AT_REST_WORDS = frozenset({"out", "dark", "silent", "off", "stopped", "released", "clear", "reset", "whole", "on"})

Facts = dict[str, list[Any]]


class Board:
    """What is looked up once a wiring, to turn states of its panel into facts."""

    def __init__(self, wiring: Wiring) -> None:
        self.wiring = wiring
        self.circuit = wiring.circuit
        self.terminal_of = {net.id: net.terminals[0] for net in wiring.nets}
        self.net_of = {terminal: net.id for net in wiring.nets for terminal in net.terminals}

    @cached_property
    def joins(self) -> tuple[tuple[str, str, str, str], ...]:
        """(element, sort, net, net) of everything that may join two nets."""
        found = []
        for device in self.circuit.devices:
            for part in device.parts:
                if isinstance(part, Contact | Fuse | Link):
                    ends = (self.net_of.get(f"{device.tag}.{part.a}"), self.net_of.get(f"{device.tag}.{part.b}"))
                    if ends[0] and ends[1]:
                        sort = type(part).__name__
                        found.append((f"{device.tag}.{part.name}", sort, ends[0], ends[1]))
        return tuple(found)

    @cached_property
    def feeds(self) -> tuple[tuple[str, str, str, float], ...]:
        """(supply, rail net that feeds, net it is measured against, volts); the second net "" when there is none."""
        found = []
        for device, source in self.circuit.supplies:
            nets = [self.net_of.get(f"{device.tag}.{mark}", "") for mark in source.terminals]
            by_rail = dict(zip(source.rails, nets, strict=True))
            back = by_rail.get(source.earthed_at) or by_rail.get("N") or (nets[1] if source.phases == 1 else "")
            volts = source.volts
            if source.phases == 3 and back:
                volts /= 3**0.5
            for rail, net in by_rail.items():
                if net and net != back and rail not in ("N", "PE"):
                    found.append((device.tag, net, back, volts))
        return tuple(found)

    @cached_property
    def returns(self) -> frozenset[str]:
        """Nets that currents go back to."""
        return frozenset(back for _, _, back, _ in self.feeds if back)

    @cached_property
    def against(self) -> Mapping[str, tuple[str, float]]:
        """Net to the net its volts are told against, and the volts of that supply, from the rung it stands in."""
        by_rail = {rail: net.id for net in self.wiring.nets for rail in net.rails}
        of_return = {back: volts for _, _, back, volts in self.feeds if back}
        found: dict[str, tuple[str, float]] = {}
        for net, back in self._sections(by_rail):
            if back in of_return:
                found.setdefault(net, (back, of_return[back]))
        for _, net, back, volts in self.feeds:
            found[net] = (back, volts)
        return found

    def _sections(self, by_rail: Mapping[str, str]) -> list[tuple[str, str]]:
        found = []
        for rung in self.circuit.rungs:
            rails = [by_rail[rail] for rail in rung.section if rail in by_rail]
            back = next((rail for rail in rails if rail in self.returns), "")
            for use in uses_in(rung.body):
                found += [
                    (self.net_of[t], back) for m in use.terminals or () if (t := f"{use.device}.{m}") in self.net_of
                ]
        return found

    # -- the facts -------------------------------------------------------------------------------------------------

    def facts(self, state: PanelState) -> Facts:
        """Everything that can be seen now: "net:", "part:" and "device:" facts, "power" and "says"."""
        looks = looks_of(self.circuit, self.live_state(state))
        facts: Facts = {f"net:{net}": [look.classes[0], look.word] for net, look in looks.nets.items()}
        facts.update((f"part:{element}", [look.classes, look.word]) for element, look in looks.elements.items())
        for device in self.circuit.devices:
            facts[f"device:{device.tag}"] = self.device_fact(device, state)
        facts["power"] = ["off" if self._is_off(state) else "on"]
        facts["says"] = [self.sentence(state, facts)]
        return facts

    def live_state(self, state: PanelState) -> LiveState:
        """The state as drawings show it."""
        groups = self.groups(state)
        nets = {net.id: self.potential(net, state, groups[net.id]) for net in self.wiring.nets}
        moved, working, partial_v, words = set(state.position.blown), set(), {}, {}
        for device in self.circuit.devices:
            for part in device.parts:
                element = f"{device.tag}.{part.name}"
                if isinstance(part, Contact):
                    if (element in state.position.closed) == (form_of(device, part) == "make"):
                        moved.add(element)
                elif isinstance(part, Load):
                    verdict = state.solution.verdict(element)
                    if verdict == "full":
                        working.add(element)
                    elif verdict == "partial":
                        partial_v[element] = state.solution.load(element).acting_v
                    if part.drives == "coil":
                        words[element] = state.word(device.tag, "in")
        return LiveState(nets, frozenset(moved), frozenset(working), partial_v, words)

    def groups(self, state: PanelState) -> Mapping[str, str]:
        """Net to the word for what it is joined to by closed contacts alone: "live", "zero", "both" or "" (nothing)."""
        parent = {net.id: net.id for net in self.wiring.nets}

        def find(net: str) -> str:
            while parent[net] != net:
                parent[net] = parent[parent[net]]
                net = parent[net]
            return net

        closed, blown = state.position.closed, state.position.blown
        for element, sort, one, other in self.joins:
            if sort == "Link" or (element in closed if sort == "Contact" else element not in blown):
                parent[find(one)] = find(other)
        live = {find(net) for supply, net, _, _ in self.feeds if supply not in state.position.off}
        zero = {find(net) for net in self.returns}
        words = {}
        for net in parent:
            root = find(net)
            words[net] = ("both" if root in zero else "live") if root in live else "zero" if root in zero else ""
        return words

    def potential(self, net: Net, state: PanelState, joined: str) -> Potential:
        """What one net is joined to, and its volts."""
        back, nominal = self.against.get(net.id, ("", 0.0))
        level = self._level(net, back, state)
        value = level.dc if abs(level.dc) >= level.ac_effective else level.ac_effective
        has_volts = bool(nominal) and not level.floating and abs(value) > NEARLY_NOTHING * nominal
        if joined == "zero" or (joined == "both" and not has_volts):
            return Potential("zero", 0.0)
        if joined:
            return Potential("live", value if back else None)
        return Potential("partial", value) if has_volts else Potential("dead")

    def _level(self, net: Net, back: str, state: PanelState) -> Level:
        if not back:
            return Level()
        try:
            return state.solution.volts(net.terminals[0], self.terminal_of[back])
        except UnknownPlace:  # a part that a fault has taken out
            return Level(floating=True)

    def device_fact(self, device: Device, state: PanelState) -> list[Any]:
        """[state, what else, whether it does something] of one device, in words."""
        if any(fuse_blown(device, state)):
            return ["blown", "", True]
        if device.sources:
            return ["off" if device.tag in state.position.off else "on", "", False]
        word = state.word(device.tag, _like(device)).removeprefix("at ")
        busy = word not in AT_REST_WORDS and word != device.mechanism.start
        return [word, "", busy]

    def seen_by_eyes(self, facts: Facts) -> Facts:
        """What somebody sees at the panel: how devices stand, not what is live, nor whether a fuse link is whole."""
        seen = {key: fact for key, fact in facts.items() if key.startswith("device:") or key == "power"}
        for device in self.circuit.devices:
            key = f"device:{device.tag}"
            if seen[key][0] == "blown":
                seen[key] = ["on", "", False]
        said = self._said(seen)
        seen["says"] = [said or ("Power off" if facts["power"] == ["off"] else "At rest")]
        return seen

    def _is_off(self, state: PanelState) -> bool:
        return {device.tag for device, _ in self.circuit.supplies} <= state.position.off

    def sentence(self, state: PanelState, facts: Facts) -> str:
        """What does something now, in a line: "K1 in, H1 lit"."""
        if self._is_off(state):
            return "Power off"
        return self._said(facts) or "At rest"

    def _said(self, facts: Facts) -> str:
        said = []
        for device in self.circuit.devices:
            word, _, busy = facts[f"device:{device.tag}"]
            if busy and not device.sources:
                said.append(f"{device.tag} {word}")
        more = f" and {len(said) - MOST_SAID} more" if len(said) > MOST_SAID else ""
        return ", ".join(said[:MOST_SAID]) + more


def fuse_blown(device: Device, state: PanelState) -> list[bool]:
    """For each fuse of a device whether it is blown."""
    return [f"{device.tag}.{part.name}" in state.position.blown for part in device.parts if isinstance(part, Fuse)]


def _like(device: Device) -> str:
    """The family of words that tells most about a device."""
    if device.mechanism.sort == "fixed" and device.loads and not device.motors:
        return {"lamp": "lit", "sounder": "sounding"}.get(device.loads[0].sort, "on")
    return ""
