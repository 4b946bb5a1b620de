"""Power for the live test: one fuse or breaker after the other, and the volts that must stand behind each."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from ..behaviour import PanelState, Run
from ..circuit import Circuit, Contact, Device, Do, Fuse, Link, Load, Motor, Source, net_of, uses_in
from ..electrics import Network
from .cold_bench import has_link
from .live_steps import is_wired
from .places import return_for, returns_of
from .probing import volts_text
from .sheet import SheetLine
from .situations import Situation, play, waiting_s

MOST_LOW = 0.5  # of its rated volts: from there on a supply counts as giving
SET_BY_HAND = ("set", "delay", "second delay")  # facts of a device


class PowerUp:
    """A panel that is put under power step by step. `steps`: what has been done so far, from rest."""

    def __init__(self, network: Network) -> None:
        self.network = network
        self.circuit = network.circuit
        self.wait_s = waiting_s(self.circuit)
        self.order = power_order(network)
        self.motors_own = motor_protection(network, self.order)
        self.steps = tuple(_step(self.circuit, tag, out=True) for tag in self.order)
        self.run = play(Run(network), self.steps, self.wait_s)
        self.fed = {device.tag for device, source in self.circuit.supplies if not source.fed_by}

    @property
    def motors_left_out(self) -> tuple[Do, ...]:
        """From rest: what leaves the motors without power and the control with it."""
        return tuple(_step(self.circuit, tag, out=True) for tag in self.motors_own)

    def feed(self) -> Iterator[SheetLine]:
        """The feed, everything behind it out or off."""
        for device, source in self.circuit.supplies:
            if not source.fed_by:
                pairs = _pairs([f"{device.tag}.{mark}" for mark in live_marks(source)])
                yield from self._readings("all off", f"Feed on. {device.tag}", pairs)

    def control(self) -> Iterator[SheetLine]:
        """One fuse, breaker or switch after the other, without those of the motors."""
        for tag in self.order:
            if tag not in self.motors_own:
                yield from self._next(tag)

    def motors(self) -> Iterator[SheetLine]:
        """Those of the motors."""
        for tag in self.motors_own:
            yield from self._next(tag)

    def _next(self, tag: str) -> Iterator[SheetLine]:
        device = self.circuit.by_tag[tag]
        step = _step(self.circuit, tag, out=False)
        self.steps = (*self.steps, step)
        self.run = play(self.run, (step,), self.wait_s)
        word = f"{tag} {'in' if has_link(device) else 'on'}"
        name = f"{word} ({device.text})" if device.text else word
        yield from self._readings(word, name, _behind(self.network, self.circuit, device))
        for other, source in self.circuit.supplies:
            a, b = (f"{other.tag}.{mark}" for mark in source.terminals[:2])
            if other.tag not in self.fed and volts_at(self.run.state, a, b) > MOST_LOW * source.volts:
                self.fed.add(other.tag)
                yield from self._readings(word, f"{other.tag} gives its volts", [(a, b)])

    def _readings(self, called: str, name: str, pairs: Iterable[tuple[str, str]]) -> Iterator[SheetLine]:
        situation = Situation(called, self.steps)
        for a, b in pairs:
            volts = volts_at(self.run.state, a, b)
            yield SheetLine(f"{name}: {a} to {b}", volts_text(volts), "volts", a, b, situation, volts)


def motor_protection(network: Network, order: Sequence[str]) -> tuple[str, ...]:
    """Fuses and breakers that feed motors alone, and have no contact that the control needs."""
    circuit = network.circuit
    return tuple(
        tag
        for tag in order
        if feeds_motors_alone(circuit, tag)
        and any(isinstance(part, Fuse) for part in circuit.by_tag[tag].parts)
        and not any(not c.main and is_wired(circuit, circuit.by_tag[tag], c) for c in circuit.by_tag[tag].contacts)
    )


def feeds_motors_alone(circuit: Circuit, tag: str) -> bool:
    """Whether behind its poles lie main poles of contactors, overloads and motors, and nothing else."""
    net_at, parts_at = net_of(circuit), _parts_at(circuit)
    device = circuit.by_tag[tag]
    ends = [f"{tag}.{part.b}" for part in device.parts if isinstance(part, Fuse | Contact)]
    behind = {
        other for end in ends if end in net_at for other in net_at[end].terminals if other.partition(".")[0] != tag
    }
    return bool(behind) and all(_is_of_motors(*parts_at[other]) for other in behind if other in parts_at)


def _is_of_motors(device: Device, part: object) -> bool:
    if isinstance(part, Contact):
        return part.main and device.mechanism.sort != "switch"
    return isinstance(part, Link | Motor)


def _parts_at(circuit: Circuit) -> dict[str, tuple[Device, object]]:
    """Terminal to what is connected there inside its device."""
    found: dict[str, tuple[Device, object]] = {}
    for device in circuit.devices:
        for part in device.parts:
            marks = part.leads if isinstance(part, Motor) else (getattr(part, "a", ""), getattr(part, "b", ""))
            found.update({f"{device.tag}.{mark}": (device, part) for mark in marks if mark})
    return found


def live_marks(source: Source) -> list[str]:
    """The terminals of a supply that carry volts."""
    return [mark for rail, mark in zip(source.rails, source.terminals, strict=True) if rail != "PE"]


def _step(circuit: Circuit, tag: str, *, out: bool) -> Do:
    verbs = ("take-out", "renew") if has_link(circuit.by_tag[tag]) else ("switch-off", "switch-on")
    return Do(verbs[0 if out else 1], (tag,))


def volts_at(state: PanelState, a: str, b: str) -> float:
    """What a meter shows there, dc with its sign."""
    level = state.solution.volts(a, b)
    return level.ac_effective if level.ac_effective > abs(level.dc) else level.dc


def power_order(network: Network) -> list[str]:
    """Fuses, breakers and disconnects: from the feed inwards, those of motors last."""
    circuit = network.circuit
    opens = {
        d.tag for d in circuit.devices if d.mechanism.sort == "switch" or any(isinstance(p, Fuse) for p in d.parts)
    }
    reached = [device.tag for device, source in circuit.supplies if not source.fed_by]
    near = _near(circuit)
    order: list[str] = []
    feeding = {device.tag for device, _ in circuit.supplies}
    for tag in reached:
        for other in near.get(tag, ()):
            if other in opens and other not in order:
                order.append(other)
            if other in opens | feeding and other not in reached:
                reached.append(other)
    order += sorted(opens - set(order))
    return sorted(order, key=lambda tag: feeds_motors_alone(circuit, tag))


def _near(circuit: Circuit) -> dict[str, list[str]]:
    """Devices that share a net."""
    found: dict[str, list[str]] = {}
    for net in dict.fromkeys(net_of(circuit).values()):
        tags = list(dict.fromkeys(t.partition(".")[0] for t in net.terminals))
        for tag in tags:
            found.setdefault(tag, []).extend(other for other in tags if other != tag)
    return found


def _behind(network: Network, circuit: Circuit, device: Device) -> Iterator[tuple[str, str]]:
    """Pairs at which to read behind a fuse, breaker or disconnect: pole to pole, one pole to its return."""
    poles = [
        p for p in device.parts if isinstance(p, Fuse | Contact) and f"{device.tag}.{p.b}" in network.elements.node_of
    ]
    ends = [f"{device.tag}.{p.b}" for p in poles]
    if len(ends) > 1:
        yield from _pairs(ends)
        return
    for end in ends:
        rung = next((r for r in circuit.rungs if any(use.device == device.tag for use in uses_in(r.body))), None)
        yield end, return_for(circuit, rung.section) if rung else returns_of(circuit)[0]


def _pairs(ends: list[str]) -> list[tuple[str, str]]:
    """Each end with the next; of three or more the last with the first, too."""
    return list(zip(ends, (*ends[1:], ends[0]) if len(ends) > 2 else ends[1:], strict=False))


# -- under load ------------------------------------------------------------------------------------------------------


def load_lines(running: Situation, state: PanelState) -> Iterator[SheetLine]:
    """With as much at work as works together: the volts of each supply, and of each coil that is in."""
    for device, source in state.circuit.supplies:
        a, b = (f"{device.tag}.{mark}" for mark in live_marks(source)[:2])
        volts = volts_at(state, a, b)
        yield SheetLine(f"{running.name}: {device.tag}, {a} to {b}", volts_text(volts), "volts", a, b, running, volts)
    for device in state.circuit.devices:
        for coil in device.parts:
            if isinstance(coil, Load) and coil.drives and state.solution.verdict(f"{device.tag}.{coil.name}") == "full":
                a, b = f"{device.tag}.{coil.a}", f"{device.tag}.{coil.b}"
                volts = volts_at(state, a, b)
                least = f", at least {volts_text(coil.works_v)}" if coil.works_v else ""
                yield SheetLine(f"{running.name}: coil of {device.tag}, {a} to {b}", f"{volts_text(volts)}{least}",
                                "volts", a, b, running, volts)  # fmt: skip


def setting_lines(circuit: Circuit) -> Iterator[SheetLine]:
    """What is set by hand: overloads, timers."""
    for device in circuit.devices:
        told = [fact.text for fact in device.facts if fact.name in SET_BY_HAND]
        if told:
            about = f" ({device.text})" if device.text else ""
            yield SheetLine(f"{device.tag}{about}: {', '.join(told)}")


def motor_lines(circuit: Circuit) -> Iterator[SheetLine]:
    """Each motor: which way it turns, and its amps."""
    for device in circuit.devices:
        for motor in device.motors:
            about = f" ({device.text})" if device.text else ""
            yield SheetLine(f"{device.tag}{about}: touched on, it turns the right way", "as its arrow")
            if motor.amps:
                phases = "in each phase, and alike" if motor.phases == 3 else ""
                yield SheetLine(f"{device.tag}{about}: amps under load {phases}".rstrip(),
                                f"at most {motor.amps:g} A")  # fmt: skip
