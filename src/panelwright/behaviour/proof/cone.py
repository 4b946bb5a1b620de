"""The panel as a machine that takes steps: bits, what each becomes, and which choices are free.

One step: inputs change as they like, and any set of the devices that want to move moves. So every order in which
relays of any speed can act is covered, a tap shorter than an operate time too. A device with make and break contacts
in use has a place between, where both are open, and may stay there as long as it likes; if its coil is switched
meanwhile it still arrives, or turns round. A coil that gets part of the volts may do either. Timers run out at any
moment, but not before everything that moved with them has come to rest once.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import cached_property

from ...circuit import Device, Load
from ...electrics.gates import FALSE, INPUT, TRUE, GateBuilder
from .model import Bit, Model, Move
from .panel import Panel

HAND = ("push", "latched push", "field", "trip", "switch")
TIMERS = ("on-delay", "off-delay", "off-delay without supply", "interval", "flasher", "star-delta")


@dataclass(frozen=True, slots=True)
class Running:
    """A timer: literals. `over`: its time is up (interval); `begun`: it has been operated since it was fed (flasher).

    `supplied`: it has what it needs to run its time.
    """

    device: Device
    over: int = FALSE
    begun: int = FALSE
    supplied: int = TRUE


class Cone:
    """Some devices of a panel and all they depend on, as a model; the others do not matter to what is asked."""

    def __init__(self, panel: Panel, tags: Iterable[str]) -> None:
        self.panel = panel
        self.circuit = panel.circuit
        self.model = Model(GateBuilder())
        self._image = {0: FALSE}
        self.running: dict[str, Running] = {}  # the timers
        self._ages: list[tuple[str, int, int]] = []
        self.tags = panel.depends(tags)
        for device in self.circuit.devices:
            if device.tag in self.tags:
                self._add(device)
        self._finish()

    def of(self, literal: int) -> int:
        """A literal of the gate program, in the model."""
        if literal >> 1 not in self._image:
            self._bring(literal)
        return self._image[literal >> 1] ^ (literal & 1)

    def _bring(self, literal: int) -> None:
        """Copy the gates that a literal depends on into the model, so that monitors can be put on top."""
        g, source, image = self.model.gates, self.panel.program.gates, self._image
        waiting = [literal >> 1]
        while waiting:
            node = waiting[-1]
            left, right = source.left[node], source.right[node]
            if left == INPUT:
                image[node] = g.input(self.panel.input_names[node])
                waiting.pop()
                continue
            missing = [n for n in (left >> 1, right >> 1) if n not in image]
            if missing:
                waiting += missing
                continue
            image[node] = g.and_(image[left >> 1] ^ (left & 1), image[right >> 1] ^ (right & 1))
            waiting.pop()

    def full(self, element: str) -> int:
        """The load surely works."""
        return self.of(self.panel.program.full[element])

    def may(self, element: str) -> int:
        """The load may get something."""
        return self.of(self.panel.program.may[element])

    def standing(self, position: Iterable[tuple[str, bool]]) -> int:
        """Literal of inputs of the gate program standing so."""
        g = self.model.gates
        return g.all_of(g.input(name) ^ (not value) for name, value in position)

    def operated(self, tag: str, arm: str = "") -> int:
        """Its make contacts are closed."""
        return self.panel.operated(self.model.gates, tag, arm)

    def at_rest(self, tag: str, arm: str = "") -> int:
        """Its break contacts are closed."""
        return self.panel.at_rest(self.model.gates, tag, arm)

    def _add(self, device: Device) -> None:
        """The bits of one device, and its part of a step."""
        sort = device.mechanism.sort
        if device.tag in self.panel.stuck:
            self._stuck(device.tag, self.panel.stuck[device.tag])
            return
        if device.sources:
            self._toggled(f"supply:{device.tag}", device.tag, None)
        if device.mechanism.positions:
            self._selector(device)
        elif sort in HAND:
            self._hand(device)
        elif sort in TIMERS:
            self._timer(device)
        elif sort in ("relay", "latching", "impulse", "alternating"):
            self._coil_device(device)

    def _stuck(self, tag: str, operated: bool) -> None:
        """A device that a fault holds stays where it is, its timed contacts with it."""
        for arm in ("", ":timed"):
            op = self.operated(tag, arm)
            self.model.bits.append(Bit(f"{tag}{arm}", op, op, operated, tag))
            if self.panel.has_place_between(tag, arm):
                rest = self.at_rest(tag, arm)
                self.model.bits.append(Bit(f"{tag}{arm}:rest", rest, rest, not operated, tag))

    def _toggled(self, name: str, tag: str, start: bool | None) -> int:
        model = self.model
        now = model.gates.input(name)
        change = model.choice(f"change {name}")
        model.begun.append((tag, change))
        model.bits.append(Bit(name, now, model.differ(now, change), start, tag, input=True))
        return now

    def _hand(self, device: Device) -> None:
        model, g, tag = self.model, self.model.gates, device.tag
        if not self.panel.has_place_between(tag, ""):
            self._toggled(tag, tag, None)
            return
        op, rest = self.operated(tag), self.at_rest(tag)
        change, toward = model.choice(f"change {tag}"), model.choice(f"toward {tag}")
        between = g.and_(op ^ 1, rest ^ 1)
        model.begun.append((tag, g.and_(change, between ^ 1)))  # arriving is no new decision
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
        model.begun.append((tag, stays ^ 1))
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
        facts = tuple(self._half_fed_facts(device.tag, drives))
        known, works = g.any_of(held for held, _ in facts), g.any_of(held for held, works in facts if works)
        works = self.model.if_(known, works, either)
        return g.or_(full, g.and_(doubtful, works)), g.and_(doubtful, known ^ 1)

    def known(self, tag: str, drives: str) -> int:
        """The electrical solution has said what the half fed coil does here."""
        return self.model.gates.any_of(held for held, _ in self._half_fed_facts(tag, drives))

    def _half_fed_facts(self, tag: str, drives: str) -> Iterator[tuple[int, bool]]:
        """What the electrical solution has said about a half fed coil: in which position, and that it works there."""
        for fact in self.panel.facts:
            if fact.tag == tag and fact.drives == drives:
                yield self.standing(fact.position), fact.works

    def held_out(self, tag: str) -> int:
        """Another contactor holds this one out mechanically."""
        return self.model.gates.any_of(self.at_rest(other) ^ 1 for other in self.holders(tag))

    def holders(self, tag: str) -> list[str]:
        """The contactors that hold this one out mechanically."""
        return [b if a == tag else a for a, b in self.circuit.interlocks if tag in (a, b)]

    def _coil_device(self, device: Device) -> None:
        sort = device.mechanism.sort
        if sort == "relay":
            want, doubtful = self._want(device)
            if self.holders(device.tag):  # its magnet may pull for a while after the coil is off, and find itself free
                want, doubtful = self._magnet(device.tag, want, doubtful)[0], FALSE
            self._arm_moves(device.tag, "", self._unless_held(device.tag, want), doubtful)
        elif sort == "latching":
            self._latching(device)
        else:
            self._stepping(device)

    def _unless_held(self, tag: str, want: int) -> int:
        g = self.model.gates
        held = g.and_(self.held_out(tag), self.at_rest(tag))
        return g.and_(want, held ^ 1)

    def _arm_moves(self, tag: str, arm: str, want: int, doubtful: int = FALSE, start: bool = False) -> None:
        """An arm that goes to `want`, at a moment of its own choice; `doubtful`: it need not go."""
        model, g = self.model, self.model.gates
        moves = model.choice(f"move {tag}{arm}")
        op, rest = self.operated(tag, arm), self.at_rest(tag, arm)
        if not self.panel.has_place_between(tag, arm):
            model.bits.append(Bit(f"{tag}{arm}", op, model.if_(moves, want, op), start, tag))
            restless = g.and_(model.differ(op, want), doubtful ^ 1)
            model.moves.append(Move(tag, restless))
            return
        between = g.and_(op ^ 1, rest ^ 1)
        arrives_in = self._arrives_in(f"{tag}{arm}", op, rest, want)
        op_next = model.if_(op, g.and_(moves, want ^ 1) ^ 1, g.all_of([between, moves, arrives_in]))
        rest_next = model.if_(rest, g.and_(moves, want) ^ 1, g.all_of([between, moves, arrives_in ^ 1]))
        model.bits.append(Bit(f"{tag}{arm}", op, op_next, start, tag))
        model.bits.append(Bit(f"{tag}{arm}:rest", rest, rest_next, not start, tag))
        model.always.append(g.and_(op, rest) ^ 1)
        away = g.or_(g.and_(want, op ^ 1), g.and_(want ^ 1, rest ^ 1))
        restless = g.or_(between, g.and_(away, doubtful ^ 1))
        model.moves.append(Move(tag, restless))

    def _arrives_in(self, name: str, op: int, rest: int, want: int) -> int:
        """An arm on its way arrives operated: driven there, or on the way there when its coil was switched."""
        model = self.model
        sent_in = model.monitor(f"{name} sent in")
        model.remember(f"{name} sent in", sent_in, model.if_(rest, TRUE, model.gates.and_(op ^ 1, sent_in)))
        overtaken = model.differ(want, sent_in)
        return model.if_(overtaken, model.choice(f"arrives {name}"), want)

    def _latching(self, device: Device) -> None:
        g = self.model.gates
        set_, set_half = self._want(device, "set")
        reset, reset_half = self._want(device, "reset")
        both_fed = g.and_(g.or_(set_, set_half), g.or_(reset, reset_half))
        stays = self.operated(device.tag)
        between = g.and_(stays ^ 1, self.at_rest(device.tag) ^ 1)
        both = self.model.choice(f"both coils {device.tag}")
        driven = self.model.if_(set_, self.model.if_(reset, both, TRUE), self.model.if_(reset, FALSE, stays))
        target = self.model.monitor(f"{device.tag} goes on")
        onward = self.model.if_(g.or_(set_, reset), driven, self.model.if_(between, target, stays))
        self.model.remember(f"{device.tag} goes on", target, onward)
        self._arm_moves(device.tag, "", onward, g.any_of([both_fed, set_half, reset_half]))

    def _stepping(self, device: Device) -> None:
        """Impulse relays change at each pulse, alternating ones when the coil lets go."""
        model, g, tag = self.model, self.model.gates, device.tag
        armature, after = self._magnet(tag, *self._want(device, "pulse"))
        steps = g.and_(after, armature ^ 1) if device.mechanism.sort == "impulse" else g.and_(armature, after ^ 1)
        side = model.monitor(f"{tag} side")
        turned = model.if_(steps, side ^ 1, side)
        model.remember(f"{tag} side", side, turned)
        self._arm_moves(tag, "", turned)

    def _magnet(self, tag: str, want: int, doubtful: int) -> tuple[int, int]:
        """A magnet that follows its coil at a moment of its own choice: whether it pulls, now and after this step."""
        model = self.model
        pulls = model.monitor(f"{tag} magnet")
        after = model.if_(model.choice(f"move {tag} magnet"), want, pulls)
        model.remember(f"{tag} magnet", pulls, after)
        model.moves.append(Move(tag, model.gates.and_(model.differ(pulls, want), doubtful ^ 1)))
        return pulls, after

    def _timer(self, device: Device) -> None:
        """The armature follows the coil; the timed contacts follow it after a time that may end at any moment."""
        model, g, tag, sort = self.model, self.model.gates, device.tag, device.mechanism.sort
        supplied = self._supplied(device)
        want, doubtful = self._want(device)
        if sort == "star-delta":
            self._star_delta(device, want, doubtful)
            return
        self._arm_moves(tag, "", g.and_(want, supplied), g.and_(doubtful, supplied))
        fed, timed = self.operated(tag), self.operated(tag, ":timed")
        ran_out = g.and_(self._times_out(tag, fed), model.choice(f"runs out {tag}"))
        over = begun = FALSE
        if sort == "on-delay":
            target, pending = g.and_(fed, g.or_(timed, ran_out)), g.and_(fed, timed ^ 1)
        elif sort == "interval":
            over = model.monitor(f"{tag} over")
            now_over = g.and_(fed, g.or_(over, ran_out))
            model.remember(f"{tag} over", over, now_over)
            target, pending = g.and_(fed, now_over ^ 1), g.and_(fed, over ^ 1)
        elif sort == "flasher":
            begun = model.monitor(f"{tag} begun")
            model.remember(f"{tag} begun", begun, g.and_(fed, g.or_(begun, timed)))
            turned = model.if_(g.or_(begun, timed), model.differ(timed, ran_out), TRUE)
            target, pending = g.and_(fed, turned), fed
        else:
            target, pending = g.or_(fed, g.and_(timed, ran_out ^ 1)), g.and_(fed ^ 1, timed)
        self.running[tag] = Running(device, over, begun, supplied)
        self._arm_moves(tag, ":timed", target)
        self._time_runs(tag, pending)

    def _time_runs(self, tag: str, pending: int) -> None:
        """Where a time is running that will be up."""
        self.model.moves[-1].pending = FALSE if self.panel.never_times_out(tag) else pending

    def _supplied(self, device: Device) -> int:
        """An off-delay timer with a supply of its own has it."""
        own = [f"{device.tag}.{load.name}" for load in device.loads if not load.drives]
        if device.mechanism.sort != "off-delay" or not own:
            return TRUE
        return self.model.gates.any_of(self.full(load) for load in own)

    def _star_delta(self, device: Device, want: int, doubtful: int) -> None:
        """The plain contacts (star) are in until a time is up, the timed ones (delta) after a second time."""
        model, g, tag = self.model, self.model.gates, device.tag
        pulled, _ = self._magnet(tag, want, doubtful)
        over, changed = model.monitor(f"{tag} over"), model.monitor(f"{tag} changed")
        star_up = g.and_(self._times_out(tag, pulled), model.choice(f"runs out {tag}"))
        now_over = g.and_(pulled, g.or_(over, star_up))
        now_changed = g.all_of([pulled, over, g.or_(changed, model.choice(f"runs out {tag} again"))])
        model.remember(f"{tag} over", over, now_over)
        model.remember(f"{tag} changed", changed, now_changed)
        self._arm_moves(tag, "", g.and_(pulled, over ^ 1))
        self._arm_moves(tag, ":timed", g.and_(pulled, changed))
        self.running[tag] = Running(device)
        self._time_runs(tag, g.and_(pulled, changed ^ 1))

    def _times_out(self, tag: str, fed: int) -> int:
        """Its time may be up: it has been fed, or not, all the while, and all that moved with it has been at rest."""
        if self.panel.never_times_out(tag):
            return FALSE
        model = self.model
        aged = model.monitor(f"{tag} aged")
        before = model.monitor(f"{tag} was fed", fed)
        same = model.differ(before, fed) ^ 1
        self._ages.append((tag, aged, same))
        return model.gates.and_(same, aged)

    def _finish(self) -> None:
        """Once every device is in: timers age when all has come to rest."""
        model, g = self.model, self.model.gates
        for tag, aged, same in self._ages:
            model.remember(f"{tag} aged", aged, g.and_(same, g.or_(aged, self.quiet)))
        for pair in self.circuit.interlocks:  # of two that set out at one instant, one is there first
            if self.tags.issuperset(pair) and not self.panel.stuck.keys() & set(pair):
                model.always.append(g.and_(*(self.at_rest(tag) ^ 1 for tag in pair)) ^ 1)

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
    def beginning(self) -> int:
        """Somebody begins to change an input in this step."""
        return self.model.gates.any_of(literal for _, literal in self.model.begun)

    @cached_property
    def changing(self) -> int:
        """An input changes in this step."""
        g = self.model.gates
        return g.any_of(self.model.differ(bit.now, bit.next) for bit in self.model.bits if bit.input)
