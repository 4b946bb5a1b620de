"""The present state of a panel, as the short facts from which the page repaints: one value a net, part and device."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cached_property
from typing import Any

from ..behaviour import PanelState
from ..circuit import Contact, Device, Fuse, Link, Load, Net
from ..electrics import Level, UnknownPlace
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
        from ..circuit import uses_in

        found = []
        for rung in self.circuit.rungs:
            rails = [by_rail[rail] for rail in rung.section if rail in by_rail]
            back = next((rail for rail in rails if rail in self.returns), "")
            for use in uses_in(rung.body):
                found += [(self.net_of[t], back) for m in use.terminals or () if (t := f"{use.device}.{m}") in self.net_of]
        return found

    # -- the facts -------------------------------------------------------------------------------------------------

    def facts(self, state: PanelState) -> Facts:
        """Everything that can be seen now: "net:", "part:" and "device:" facts, "power" and "says"."""
        facts: Facts = {}
        groups = self.groups(state)
        for net in self.wiring.nets:
            facts[f"net:{net.id}"] = self.net_fact(net, state, groups)
        for device in self.circuit.devices:
            for part in device.parts:
                if isinstance(part, Contact | Load | Fuse):
                    facts[f"part:{device.tag}.{part.name}"] = self.part_fact(device, part, state, groups)
            facts[f"device:{device.tag}"] = self.device_fact(device, state)
        off = {device.tag for device, _ in self.circuit.supplies} <= set(state.position.off)
        facts["power"] = ["off" if off else "on"]
        facts["says"] = [self.sentence(state)]
        return facts

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

    def net_fact(self, net: Net, state: PanelState, groups: Mapping[str, str]) -> list[Any]:
        """[class, label] of one net."""
        joined = groups[net.id]
        back, nominal = self.against.get(net.id, ("", 0.0))
        level = self._level(net, back, state)
        size = abs(level.dc) if abs(level.dc) >= level.ac_effective else level.ac_effective
        if joined == "zero" or (joined == "both" and size < NEARLY_NOTHING * nominal):
            return ["zero", "0 V" if joined == "zero" else "short"]
        if joined in ("live", "both"):
            return ["live", volts_words(level) if back else "live"]
        if size > NEARLY_NOTHING * nominal and not level.floating and nominal:
            return ["partial", volts_words(level)]
        return ["dead", ""]

    def _level(self, net: Net, back: str, state: PanelState) -> Level:
        if not back:
            return Level()
        terminal = next(one.terminals[0] for one in self.wiring.nets if one.id == back)
        try:
            return state.solution.volts(net.terminals[0], terminal)
        except UnknownPlace:  # a part that a fault has taken out
            return Level(floating=True)

    def part_fact(
        self, device: Device, part: Contact | Load | Fuse, state: PanelState, groups: Mapping[str, str]
    ) -> list[Any]:
        """[classes, word] of one part."""
        element = f"{device.tag}.{part.name}"
        if isinstance(part, Contact):
            closed = element in state.position.closed
            moved = closed if part.form == "no" else not closed if part.form == "nc" else closed
            classes = ["moved"] if moved else []
            if closed and self._is_live(device, part, groups):
                classes.append("live")  # the blade carries on the thick line
            return [classes, ""]
        if isinstance(part, Fuse):
            if element in state.position.blown:
                return [["broken"], "blown"]
            return [["live"] if self._is_live(device, part, groups) else [], ""]
        answer = state.solution.loads[element]
        if answer.verdict == "partial":
            return [["partial"], f"partial {answer.acting_v:.3g} V"]
        word = load_word(device, part, answer.verdict == "full", state)
        return [["busy"] if answer.verdict == "full" else [], word]

    def _is_live(self, device: Device, part: Contact | Fuse, groups: Mapping[str, str]) -> bool:
        return groups.get(self.net_of.get(f"{device.tag}.{part.a}", "")) == "live"

    def device_fact(self, device: Device, state: PanelState) -> list[Any]:
        """[state, what else, whether it does something] of one device, in words."""
        if any(fuse_blown(device, state)):
            return ["blown", "", True]
        if device.sources:
            return ["off" if device.tag in state.position.off else "on", "", False]
        word = state.word(device.tag, _like(device)).removeprefix("at ")
        busy = word not in AT_REST_WORDS and word != device.mechanism.start
        return [word, "", busy]

    def sentence(self, state: PanelState) -> str:
        """What does something now, in a line: "K1 in, H1 lit"."""
        if self.circuit.devices and {d.tag for d, _ in self.circuit.supplies} <= set(state.position.off):
            return "Power off"
        said = []
        for device in self.circuit.devices:
            word, _, busy = self.device_fact(device, state)
            if busy and not device.sources:
                said.append(f"{device.tag} {word}")
        if not said:
            return "At rest"
        more = f" and {len(said) - MOST_SAID} more" if len(said) > MOST_SAID else ""
        return ", ".join(said[:MOST_SAID]) + more


def fuse_blown(device: Device, state: PanelState) -> list[bool]:
    """For each fuse of a device whether it is blown."""
    return [f"{device.tag}.{part.name}" in state.position.blown for part in device.parts if isinstance(part, Fuse)]


def load_word(device: Device, load: Load, works: bool, state: PanelState) -> str:
    """What a load does, beside its symbol."""
    if load.drives == "coil":
        return state.word(device.tag, "in")
    if load.sort == "lamp":
        return "lit" if works else "dark"
    if load.sort == "sounder":
        return "sounding" if works else "silent"
    return "on" if works else "off"


def _like(device: Device) -> str:
    """The family of words that tells most about a device."""
    if device.mechanism.sort == "fixed" and device.loads and not device.motors:
        return {"lamp": "lit", "sounder": "sounding"}.get(device.loads[0].sort, "on")
    return ""


def volts_words(level: Level) -> str:
    """Volts in words for a conductor: whole volts from 10 up, one digit after the point below."""
    value = level.dc if abs(level.dc) >= level.ac_effective else level.ac_effective
    return f"{value:.0f} V" if abs(value) >= 10 else f"{value:.2g} V"
