"""A gate program made ready for lanes, and how far a change in it reaches."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cached_property
from typing import TYPE_CHECKING, Any

import numpy as np

from ..circuit import Contact, Device, Fuse, Load
from ..electrics import FALSE, GateProgram
from ..electrics.gates import INPUT
from . import lane_loop
from .overrides import Override, join_name
from .routes import Route

if TYPE_CHECKING:
    from .lanes import Lanes
    from .routes import Seat, Shown, Sound


class Compiled:
    """A gate program made ready for lanes."""

    def __init__(self, lanes: Lanes, program: GateProgram) -> None:
        self.lanes, self.program = lanes, program
        gates = program.gates
        self.left = np.array(gates.left, np.int64)
        left, right = (np.maximum(np.array(side, np.int64), 0).astype(np.uint32) for side in (gates.left, gates.right))
        self.sides: tuple[Any, Any] = (left, right)
        self.node_of = dict(zip(gates.inputs, gates.input_nodes, strict=True))
        self.name_of = {node: name for name, node in self.node_of.items()}
        self.bit_of = {node: 1 << index for index, node in enumerate(gates.input_nodes)}
        self.value = np.zeros((len(gates.left), lanes.presses.words), np.uint64)
        self.hand: dict[int, Any] = {}
        self.follows: dict[int, tuple[int, bool]] = {}
        for name, node in self.node_of.items():
            self._place_input(name, node)
        self._routes: dict[frozenset[str], Route] = {}

    def _at_rest(self, name: str) -> bool:
        return not name.startswith("join:")

    def _place_input(self, name: str, node: int) -> None:
        device, part = self.lanes.circuit.elements.get(name, (None, None))
        if device is None or not isinstance(part, Contact):
            whole = self._at_rest(name) and not (isinstance(part, Fuse) and self._is_off(device))
            self.value[node] = lane_loop.ALL if whole else np.uint64(0)
        elif device.tag in self.lanes.seat_of:
            timed = part.timing == "timed" and f"{device.tag}:timed" in self.lanes.seat_of
            seat = self.lanes.seat_of[f"{device.tag}:timed" if timed else device.tag]
            self.follows[node] = seat, part.form == "nc"
        elif device.tag in self.lanes.presses.operated or device.tag in self.lanes.presses.positions:
            self.hand[node] = self.lanes.presses.contact(device, part)
        else:
            self.value[node] = lane_loop.ALL if part.form == "nc" else np.uint64(0)

    def _is_off(self, device: Device | None) -> bool:
        return device is not None and device.mechanism.sort == "switch" and device.mechanism.start == "off"

    # ---- what depends on what
    @cached_property
    def inputs_below(self) -> list[int]:
        """By node: the inputs that it depends on, one bit each."""
        gates = self.program.gates
        found = [0] * len(gates.left)
        for node, (a, b) in enumerate(zip(gates.left, gates.right, strict=True)):
            if a != INPUT:
                found[node] = found[a >> 1] | found[b >> 1]
            elif node:
                found[node] = self.bit_of[node]
        return found

    def literals(self, seat: Seat) -> list[int]:
        """Literals that move a seat: full, may, and for latching devices the reset."""
        if seat.timed:
            return []
        loads = [load for load in seat.device.loads if load.drives]
        drives = "set" if seat.device.mechanism.sort == "latching" else "coil"
        tag, program = seat.device.tag, self.program
        main = next((load for load in loads if load.drives == drives), loads[0])
        found = [program.full[f"{tag}.{main.name}"], program.may[f"{tag}.{main.name}"]]
        reset = next((load for load in loads if load.drives == "reset"), None)
        return [*found, program.full[f"{tag}.{reset.name}"]] if reset else found

    @cached_property
    def needs(self) -> list[int]:
        """By seat: the input nodes that move it, as bits."""
        return [self._bits(self.literals(seat)) for seat in self.lanes.seats]

    @cached_property
    def needs_for_full(self) -> list[int]:
        """By seat: the input nodes that its full volts depend on."""
        return [self._bits(self.literals(seat)[:1]) for seat in self.lanes.seats]

    def _bits(self, literals: Sequence[int]) -> int:
        found = 0
        for literal in literals:
            found |= self.inputs_below[literal >> 1]
        return found

    @cached_property
    def feeds(self) -> list[int]:
        """By seat: the input nodes that follow it, as bits."""
        found = [0] * len(self.lanes.seats)
        for node, (seat, _) in self.follows.items():
            found[seat] |= self.bit_of[node]
        return found

    def reached(self, changed: int, seats: set[int]) -> set[int]:
        """The seats that a change of inputs (bits) or of some seats can move."""
        lanes = self.lanes
        found = set(seats)
        bits = changed
        for seat in found:
            bits |= self.feeds[seat]
        grown = True
        while grown:
            grown = False
            for index, one in enumerate(lanes.seats):
                if index in found:
                    continue
                tag = one.device.tag
                plain = lanes.seat_of[tag]
                partners = [lanes.seat_of[other] for other in lanes.partners(tag) if other in lanes.seat_of]
                if self.needs[index] & bits or (one.timed and plain in found) or found & set(partners):
                    found.add(index)
                    bits |= self.feeds[index]
                    grown = True
        return found

    def shown_literal(self, element: str) -> int:
        """Literal of something visible working: a load, or a motor in one direction."""
        program = self.program
        motor, _, way = element.partition(" ")
        table = {"forward": program.forward, "reverse": program.reverse}.get(way, program.full)
        return table.get(motor, FALSE)

    # ---- running
    def sound(self) -> Sound:
        """The panel without a fault, every pass of it."""
        return self.route(set(range(len(self.lanes.seats))), list(range(len(self.lanes.visible)))).sound()

    def show(self, override: Override) -> Shown:
        """What a fault shows."""
        lanes = self.lanes
        held = {self.node_of[n]: v for n, v in override.held.items() if n in self.node_of}
        held |= {self.node_of[join_name(pair)]: True for pair in override.joins}
        changed = {*held, *(self.node_of[n] for n in override.inverted if n in self.node_of)}
        bits = sum(self.bit_of[node] for node in changed)
        seats = {lanes.seat_of[tag] for tag in override.stuck if tag in lanes.seat_of}
        seats |= {lanes.seat_of[f"{tag}:timed"] for tag in override.untimed if f"{tag}:timed" in lanes.seat_of}
        seats |= {lanes.seat_of[element.partition(".")[0]] for element in override.dead if self._drives(element)}
        bits |= self._bits_of_hands(override)
        own = self.reached(bits, seats)
        for seat in own:
            bits |= self.feeds[seat]
        visible = [
            index
            for index, (element, below) in enumerate(self.below_visible)
            if below & bits or element in override.dead
        ]
        return self.route(own, visible).show(override, held)

    def _drives(self, element: str) -> bool:
        part = self.lanes.circuit.elements[element][1]
        return isinstance(part, Load) and part.drives != ""

    @cached_property
    def below_visible(self) -> list[tuple[str, int]]:
        """Everything visible with the input nodes that it depends on, as bits."""
        return [(element, self._bits([self.shown_literal(element)])) for element in self.lanes.visible]

    def _bits_of_hands(self, override: Override) -> int:
        """Input nodes of the contacts of hand devices that are stuck."""
        tags = {tag for tag in override.stuck if tag not in self.lanes.seat_of}
        if not tags:
            return 0
        nodes = (node for name, node in self.node_of.items() if name.partition(".")[0] in tags)
        return sum(self.bit_of[node] for node in nodes)

    def route(self, own: set[int], visible: list[int]) -> Route:
        """What has to be worked out for some seats and some visible things; kept for the next fault there."""
        key = frozenset([*(f"s{index}" for index in own), *(f"v{index}" for index in visible)])
        if key not in self._routes:
            self._routes[key] = Route(self, sorted(own), visible)
        return self._routes[key]
