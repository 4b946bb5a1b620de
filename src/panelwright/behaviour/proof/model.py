"""The panel as a machine that takes steps: bits, what each becomes, and which choices are free.

One step: inputs change as they like, and any set of the devices that want to move moves. So every order in which
relays of any speed can act is covered, a tap shorter than an operate time too. A device with make and break contacts
in use has a place between, where both are open, and may stay there as long as it likes. A coil that gets part of the
volts may do either. Timers run out at any moment, but not before everything that moved with them has come to rest once.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from functools import cached_property

from ...circuit import Circuit, Contact, Device, Fuse, Load
from ...electrics import Network, compile_gates
from ...electrics.gates import FALSE, TRUE, GateBuilder

HAND = ("push", "latched push", "field", "trip", "switch")
SELECTORS = ("selector", "spring selector")
FOLLOWERS = ("relay",)
TIMERS = ("on-delay", "off-delay", "off-delay without supply", "interval", "flasher", "star-delta")


@dataclass(frozen=True, slots=True)
class Bit:
    """One bit of the state. `now` and `next` are literals; `start`: its value at the start, None either.

    `tag`: device, or "" for a monitor. `input`: changed from outside.
    """

    name: str
    now: int
    next: int
    start: bool | None
    tag: str = ""
    input: bool = False


@dataclass
class Move:
    """How one coil device stands against what it is fed: literals for "wants to move" and its contacts."""

    tag: str
    restless: int  # some part of it wants to move at once
    pending: int = FALSE  # a time is running


@dataclass
class Model:
    """A transition system over gates. `choices`: literals that are free in every step.

    `always`: literals that hold in every state; `steps`: literals over state and choices that hold in every step.
    """

    gates: GateBuilder
    bits: list[Bit] = field(default_factory=list)
    choices: list[int] = field(default_factory=list)
    always: list[int] = field(default_factory=list)
    steps: list[int] = field(default_factory=list)
    moves: list[Move] = field(default_factory=list)

    def choice(self, name: str) -> int:
        """A fresh free literal."""
        literal = self.gates.input(f"?{name}")
        self.choices.append(literal)
        return literal

    def if_(self, condition: int, then: int, otherwise: int) -> int:
        """Literal of: then where the condition holds, otherwise elsewhere."""
        g = self.gates
        return g.or_(g.and_(condition, then), g.and_(condition ^ 1, otherwise))

    def differ(self, a: int, b: int) -> int:
        """Literal of a not b, or b not a."""
        return self.if_(a, b ^ 1, b)

    def monitor(self, name: str, next_of: int | None = None, start: bool = False) -> int:
        """A bit of its own; with `next_of` it holds what that literal was in the state before."""
        now = self.gates.input(f"!{name}")
        if next_of is not None:
            self.bits.append(Bit(name, now, next_of, start))
        return now

    def remember(self, name: str, now: int, next_: int, start: bool = False) -> None:
        """Say what a bit from `monitor` becomes."""
        self.bits.append(Bit(name, now, next_, start))


class Panel:
    """The devices of a circuit as literals over the state of one model."""

    def __init__(self, network: Network) -> None:
        self.network = network
        self.circuit: Circuit = network.circuit
        self.model = Model(GateBuilder())
        self.program = compile_gates(network, self._literal)
        self._import_program()

    # ---- where devices stand
    @cached_property
    def forms(self) -> dict[tuple[str, str], set[str]]:
        """Device and timing to the forms of contacts that have wires."""
        found: dict[tuple[str, str], set[str]] = {}
        wired = {t for net in self.network.circuit.__dict__["_nets"] for t in net.terminals}
        for device in self.circuit.devices:
            for part in device.contacts:
                if f"{device.tag}.{part.a}" in wired and f"{device.tag}.{part.b}" in wired:
                    found.setdefault((device.tag, _arm(part)), set()).add(part.form)
        return found

    def has_place_between(self, tag: str, arm: str) -> bool:
        """Whether an arm is told apart from rest and operated while it moves."""
        return {"no", "nc"} <= self.forms.get((tag, arm), set())

    def operated(self, gates: GateBuilder, tag: str, arm: str = "") -> int:
        """Its make contacts are closed."""
        return gates.input(f"{tag}{arm}")

    def at_rest(self, gates: GateBuilder, tag: str, arm: str = "") -> int:
        """Its break contacts are closed."""
        between = self.has_place_between(tag, arm)
        return gates.input(f"{tag}{arm}:rest") if between else gates.input(f"{tag}{arm}") ^ 1

    def _literal(self, gates: GateBuilder, name: str) -> int:
        if name.startswith("supply:"):
            return gates.input(name)
        device, part = self.circuit.elements[name]
        if isinstance(part, Fuse):
            return gates.input(device.tag) if device.mechanism.sort == "switch" else TRUE
        if not isinstance(part, Contact):
            return TRUE
        if part.form == "at":
            return gates.any_of(gates.input(f"{device.tag}={p}") for p in sorted(part.positions))
        arm = _arm(part)
        return self.operated(gates, device.tag, arm) if part.form == "no" else self.at_rest(gates, device.tag, arm)

    def _import_program(self) -> None:
        """Copy the gates of the program into the model's builder, so that monitors can be put on top."""
        g, source = self.model.gates, self.program.gates
        image = {0: FALSE}
        for name, node in zip(source.inputs, source.input_nodes, strict=True):
            image[node] = g.input(name)
        for node, left, right in source.walk():
            image[node] = g.and_(image[left >> 1] ^ (left & 1), image[right >> 1] ^ (right & 1))
        self._image = image

    def of(self, literal: int) -> int:
        """A literal of the gate program, in the model."""
        return self._image[literal >> 1] ^ (literal & 1)

    def full(self, element: str) -> int:
        """The load surely works."""
        return self.of(self.program.full[element])

    def may(self, element: str) -> int:
        """The load may get something."""
        return self.of(self.program.may[element])

    # ---- how devices move
    def add(self, device: Device) -> None:
        """The bits of one device, and its part of a step."""
        sort = device.mechanism.sort
        if device.sources:
            self._toggled(f"supply:{device.tag}", device.tag, None)
        if device.mechanism.positions:
            self._selector(device)
        elif sort in HAND:
            self._hand(device)
        elif sort in TIMERS:
            self._timer(device)
        elif sort in ("latching", "impulse", "alternating") or sort in FOLLOWERS:
            self._coil_device(device)

    def _toggled(self, name: str, tag: str, start: bool | None) -> int:
        model = self.model
        now = model.gates.input(name)
        change = model.choice(f"change {name}")
        model.bits.append(Bit(name, now, model.differ(now, change), start, tag, input=True))
        return now

    def _hand(self, device: Device) -> None:
        model, g, tag = self.model, self.model.gates, device.tag
        if not self.has_place_between(tag, ""):
            self._toggled(tag, tag, None)
            return
        op, rest = self.operated(g, tag), self.at_rest(g, tag)
        change, toward = model.choice(f"change {tag}"), model.choice(f"toward {tag}")
        between = g.and_(op ^ 1, rest ^ 1)
        model.bits.append(Bit(tag, op, model.if_(op, change ^ 1, g.all_of([between, change, toward])), None, tag, True))
        leaves = g.all_of([between, change, toward ^ 1])
        model.bits.append(Bit(f"{tag}:rest", rest, model.if_(rest, change ^ 1, leaves), None, tag, True))
        model.always.append(g.and_(op, rest) ^ 1)
        model.moves.append(Move(tag, between))

    def _selector(self, device: Device) -> None:
        model, g, tag = self.model, self.model.gates, device.tag
        positions = device.mechanism.positions
        now = [g.input(f"{tag}={p}") for p in positions]
        up, down = model.choice(f"up {tag}"), model.choice(f"down {tag}")
        goes_up, goes_down = g.and_(up, down ^ 1), g.and_(down, up ^ 1)
        stays = g.and_(goes_up ^ 1, goes_down ^ 1)
        for index, name in enumerate(positions):
            below = now[index - 1] if index else FALSE
            above = now[index + 1] if index + 1 < len(now) else FALSE
            at_end_up = g.and_(now[index], goes_up) if index + 1 == len(now) else FALSE
            at_end_down = g.and_(now[index], goes_down) if index == 0 else FALSE
            next_ = g.any_of(
                [g.and_(now[index], stays), g.and_(below, goes_up), g.and_(above, goes_down), at_end_up, at_end_down]
            )
            model.bits.append(Bit(f"{tag}={name}", now[index], next_, None, tag, input=True))
        model.always.append(g.any_of(now))
        pairs = ((a, b) for i, a in enumerate(now) for b in now[i + 1 :])
        model.always.extend(g.and_(a, b) ^ 1 for a, b in pairs)

    def _fed(self, device: Device, drives: str) -> tuple[int, int]:
        """Literals "has what it works with" and "may have something" over the coils that drive it so."""
        g = self.model.gates
        coils = [f"{device.tag}.{p.name}" for p in device.parts if isinstance(p, Load) and p.drives == drives]
        return g.any_of(self.full(c) for c in coils), g.any_of(self.may(c) for c in coils)

    def _want(self, device: Device, drives: str = "coil") -> tuple[int, int]:
        """What it is driven to, a half fed coil either way; and whether the choice is free."""
        g = self.model.gates
        full, may = self._fed(device, drives)
        doubtful = g.and_(may, full ^ 1)
        either = self.model.choice(f"half fed {device.tag} {drives}") if doubtful != FALSE else FALSE
        return g.or_(full, g.and_(doubtful, either)), doubtful

    def held_out(self, tag: str) -> int:
        """Another contactor holds this one out mechanically."""
        g = self.model.gates
        others = [b if a == tag else a for a, b in self.circuit.interlocks if tag in (a, b)]
        return g.any_of(self.at_rest(g, other) ^ 1 for other in others)

    def _coil_device(self, device: Device) -> None:
        sort = device.mechanism.sort
        if sort == "relay":
            want, doubtful = self._want(device)
            self._arm_moves(device.tag, "", self._unless_held(device.tag, want), doubtful)
        elif sort == "latching":
            self._latching(device)
        else:
            self._stepping(device)

    def _unless_held(self, tag: str, want: int) -> int:
        g = self.model.gates
        held = g.and_(self.held_out(tag), self.at_rest(g, tag))
        return g.and_(want, held ^ 1)

    def _arm_moves(self, tag: str, arm: str, want: int, doubtful: int = FALSE, start: bool = False) -> None:
        """An arm that goes to `want`, at a moment of its own choice; `doubtful`: it need not go."""
        model, g = self.model, self.model.gates
        moves = model.choice(f"move {tag}{arm}")
        op, rest = self.operated(g, tag, arm), self.at_rest(g, tag, arm)
        if not self.has_place_between(tag, arm):
            model.bits.append(Bit(f"{tag}{arm}", op, model.if_(moves, want, op), start, tag))
            restless = g.and_(model.differ(op, want), doubtful ^ 1)
            model.moves.append(Move(tag, restless))
            return
        between = g.and_(op ^ 1, rest ^ 1)
        op_next = model.if_(op, g.and_(moves, want ^ 1) ^ 1, g.all_of([between, moves, want]))
        rest_next = model.if_(rest, g.and_(moves, want) ^ 1, g.all_of([between, moves, want ^ 1]))
        model.bits.append(Bit(f"{tag}{arm}", op, op_next, start, tag))
        model.bits.append(Bit(f"{tag}{arm}:rest", rest, rest_next, not start, tag))
        model.always.append(g.and_(op, rest) ^ 1)
        away = g.or_(g.and_(want, op ^ 1), g.and_(want ^ 1, rest ^ 1))
        restless = g.or_(between, g.and_(away, doubtful ^ 1))
        model.moves.append(Move(tag, restless))

    def _latching(self, device: Device) -> None:
        g = self.model.gates
        set_, _ = self._want(device, "set")
        reset, _ = self._want(device, "reset")
        stays = self.operated(g, device.tag)
        between = g.and_(stays ^ 1, self.at_rest(g, device.tag) ^ 1)
        both = self.model.choice(f"both coils {device.tag}")
        driven = self.model.if_(set_, self.model.if_(reset, both, TRUE), self.model.if_(reset, FALSE, stays))
        target = self.model.monitor(f"{device.tag} goes on")
        onward = self.model.if_(g.or_(set_, reset), driven, self.model.if_(between, target, stays))
        self.model.remember(f"{device.tag} goes on", target, onward)
        self._arm_moves(device.tag, "", onward)

    def _stepping(self, device: Device) -> None:
        """Impulse relays change at each pulse, alternating ones when the coil lets go."""
        model, g, tag = self.model, self.model.gates, device.tag
        want, doubtful = self._want(device)
        armature = model.monitor(f"{tag} armature")
        moves = model.choice(f"move {tag} armature")
        after = model.if_(moves, want, armature)
        model.remember(f"{tag} armature", armature, after)
        model.moves.append(Move(tag, g.and_(model.differ(armature, want), doubtful ^ 1)))
        steps = g.and_(after, armature ^ 1) if device.mechanism.sort == "impulse" else g.and_(armature, after ^ 1)
        side = model.monitor(f"{tag} side")
        turned = model.if_(steps, side ^ 1, side)
        model.remember(f"{tag} side", side, turned)
        self._arm_moves(tag, "", turned)

    def _timer(self, device: Device) -> None:
        """The armature follows the coil; the timed contacts follow it after a time that may end at any moment."""
        model, g, tag, sort = self.model, self.model.gates, device.tag, device.mechanism.sort
        want, doubtful = self._want(device)
        self._arm_moves(tag, "", want, doubtful)
        fed = self.operated(g, tag)
        timed = self.operated(g, tag, ":timed")
        aged = model.monitor(f"{tag} aged")  # everything that moved with it has been at rest once
        self._ages.append((tag, aged, fed))
        ran_out = g.and_(aged, model.choice(f"runs out {tag}"))
        targets = {
            "on-delay": model.if_(fed, g.or_(timed, ran_out), FALSE),
            "star-delta": model.if_(fed, g.or_(timed, ran_out), FALSE),
            "interval": model.if_(fed, self._interval(tag, fed, ran_out), FALSE),
            "flasher": model.if_(fed, model.differ(timed, ran_out), FALSE),
        }
        late = model.if_(fed, TRUE, g.and_(timed, ran_out ^ 1))
        target = targets.get(sort, late)
        self._arm_moves(tag, ":timed", target)
        running = {
            "flasher": fed,
            "on-delay": g.and_(fed, timed ^ 1),
            "star-delta": g.and_(fed, timed ^ 1),
            "interval": g.and_(fed, timed),
        }.get(sort, g.and_(fed ^ 1, timed))
        model.moves[-1] = Move(tag, model.moves[-1].restless, running)

    def _interval(self, tag: str, fed: int, ran_out: int) -> int:
        model, g = self.model, self.model.gates
        over = model.monitor(f"{tag} over")
        now_over = g.and_(fed, g.or_(over, ran_out))
        model.remember(f"{tag} over", over, now_over)
        return now_over ^ 1

    @cached_property
    def _ages(self) -> list[tuple[str, int, int]]:
        return []

    def finish(self) -> None:
        """Once every device is in: timers age when all has come to rest."""
        model, g = self.model, self.model.gates
        for tag, aged, fed in self._ages:
            before = model.monitor(f"{tag} was fed", fed)
            same = model.differ(before, fed) ^ 1
            model.remember(f"{tag} aged", aged, g.and_(same, g.or_(aged, self.quiet)))

    @cached_property
    def quiet(self) -> int:
        """Nothing wants to move at once; times may be running."""
        return self.model.gates.any_of(move.restless for move in self.model.moves) ^ 1

    @cached_property
    def settled(self) -> int:
        """Nothing will ever move again unless an input changes."""
        running = self.model.gates.any_of(move.pending for move in self.model.moves)
        return self.model.gates.and_(self.quiet, running ^ 1)

    @cached_property
    def changing(self) -> int:
        """An input changes in this step."""
        g = self.model.gates
        return g.any_of(self.model.differ(bit.now, bit.next) for bit in self.model.bits if bit.input)

    # ---- which devices matter
    def depends(self, tags: Iterable[str]) -> set[str]:
        """The devices that some devices depend on, through their coils, themselves included."""
        found: set[str] = set()
        waiting = list(tags)
        while waiting:
            tag = waiting.pop()
            if tag in found or tag not in self.circuit.by_tag:
                continue
            found.add(tag)
            waiting += self._drivers(self.circuit.by_tag[tag])
        return found

    def _drivers(self, device: Device) -> Iterator[str]:
        coils = [f"{device.tag}.{p.name}" for p in device.parts if isinstance(p, Load) and p.drives]
        literals = [table[c] for c in coils for table in (self.program.full, self.program.may) if c in table]
        yield from self.tags_in(literals)
        yield from (b if a == device.tag else a for a, b in self.circuit.interlocks if device.tag in (a, b))

    def tags_in(self, literals: Iterable[int]) -> set[str]:
        """The devices that literals of the gate program speak of."""
        names = self.program.gates.inputs_of(literals)
        return {name.removeprefix("supply:").partition("=")[0].partition(":")[0] for name in names}


def _arm(contact: Contact) -> str:
    return ":timed" if contact.timing == "timed" else ""
