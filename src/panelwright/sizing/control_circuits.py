"""A control circuit as sizing sees it: its supply, its loads, what is on together, and the real volts and amps."""

from __future__ import annotations

import cmath
import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from functools import cached_property

from ..checks.structure import Structure, Wired
from ..circuit import Device, Load, Source
from ..electrics import Conductors, Network, Solution, Taking
from ..electrics.standing import Standings
from ..wiring import Wire
from .answers import Working
from .conductor_ohms import ohms_a_metre
from .factors import factor
from .job import Job
from .reach import Moment, Reach, position_at, reach_of
from .tables import TableRow

MOST_SOLVED = 240  # moments solved for volts and amps, the heaviest first
SUPPLIES = ("control transformer", "autotransformer", "dc supply")  # they may feed further supplies
NO_INRUSH = 1.05  # a load that takes no more than this many times its sealed power has no inrush to speak of


def figured(text: str, row: TableRow) -> Working:
    """A line that rests on a figure and on no rule."""
    return Working(text, source=row.source, trust=row.trust)


def held_power(load: Load, volts: float) -> complex:
    """Watts and vars of a load that is in, at these volts; on dc the watts alone."""
    impedance = complex(load.ohms, load.reactance_ohms if load.current != "dc" else 0.0)
    return volts**2 / impedance.conjugate() if impedance else 0j


def pulling_power(load: Load, volts: float) -> complex:
    """Watts and vars of a coil that pulls in; of a load without inrush as held."""
    held = held_power(load, volts)
    if not has_inrush(load):
        return held
    scale = (volts / load.rated_v) ** 2
    if load.current == "dc":
        return complex(load.inrush_va * scale)
    return cmath.rect(load.inrush_va * scale, math.acos(factor("inrush pf").value))


def has_inrush(load: Load) -> bool:
    """Whether a load takes noticeably more while it pulls in."""
    if load.sort == "primary":
        return False  # a surge of some milliseconds, for the fuse to pass
    return load.inrush_va > NO_INRUSH * abs(held_power(load, load.rated_v))


@dataclass(frozen=True)
class Together:
    """What is on at one moment, with its power."""

    moment: Moment
    held: tuple[str, ...]
    pulling: tuple[str, ...]
    power: complex

    @property
    def va(self) -> float:
        """Volt-amperes; watts on dc."""
        return abs(self.power)


@dataclass(frozen=True)
class ControlCircuit:
    """The loads that one supply feeds through contacts. `loads` by element id."""

    job: Job
    structure: Structure
    standings: Standings
    device: Device
    source: Source
    loads: dict[str, Wired]

    @property
    def volts(self) -> float:
        """Volts between its rails."""
        return self.structure.between_rails(self.source)

    @property
    def is_dc(self) -> bool:
        """Whether it is a dc circuit."""
        return self.source.current == "dc"

    @property
    def unit(self) -> str:
        """Unit of its power."""
        return "W" if self.is_dc else "VA"

    @property
    def name(self) -> str:
        """Its heading: "Control circuit of T1, 120 V ac"."""
        return f"Control circuit of {self.device.tag}, {self.volts:g} V {self.source.current}"

    # ---- what is on together
    @cached_property
    def reach(self) -> Reach:
        """Everything that can be on together."""
        weights = {}
        for element, wired in self.loads.items():
            held = abs(held_power(wired.load, self.volts))
            weights[element] = (held, abs(pulling_power(wired.load, self.volts)))
        return reach_of(self.standings, weights)

    def power(self, held: Iterable[str], pulling: Iterable[str] = ()) -> complex:
        """Watts and vars of some loads together."""
        total = sum((held_power(self.loads[e].load, self.volts) for e in held), 0j)
        return total + sum((pulling_power(self.loads[e].load, self.volts) for e in pulling), 0j)

    def _together(self, moment: Moment) -> Together:
        pulling = tuple(e for e in self.loads if e in moment.pulling and has_inrush(self.loads[e].load))
        held = tuple(e for e in self.loads if e in moment.held or (e in moment.pulling and e not in pulling))
        return Together(moment, held, pulling, self.power(held, pulling))

    @cached_property
    def moments(self) -> tuple[Together, ...]:
        """Every different moment, the heaviest first."""
        return tuple(sorted(map(self._together, self.reach.moments), key=lambda one: -one.va))

    @cached_property
    def heaviest(self) -> Together | None:
        """The most that is held in, with nothing pulling."""
        lasting = (one for one in self.moments if not one.pulling and one.moment.lasts)
        return max(lasting, key=lambda one: one.va, default=None)

    @cached_property
    def largest_step(self) -> Together | None:
        """The moment with coils pulling in that takes the most."""
        return max((one for one in self.moments if one.pulling), key=lambda one: one.va, default=None)

    def told(self, moment: Moment) -> str:
        """How the panel stands then; "" in an over-estimate."""
        return self.standings.told(moment.standing) if moment.standing else ""

    # ---- real volts and amps
    @cached_property
    def wire_ohms(self) -> dict[tuple[str, str], float]:
        """Ends of every control wire whose size and length are known, to its ohms."""
        found: dict[tuple[str, str], float] = {}
        celsius = factor("working temperature").value
        for wire in self.job.wiring.wires:
            if wire.size is None or wire.length is None or wire.power:
                continue
            unit = ohms_a_metre(wire.size, celsius)
            if unit is not None:
                found[wire.ends] = unit[0] * wire.length.value
        return found

    @cached_property
    def long_wires(self) -> dict[tuple[str, str], Wire]:
        """The wires that `wire_ohms` counts."""
        return {wire.ends: wire for wire in self.job.wiring.wires if wire.ends in self.wire_ohms}

    @cached_property
    def network(self) -> Network:
        """The network with the resistance of its wires."""
        return self.structure.network.edited([Conductors(tuple(self.wire_ohms.items()))])

    def solve(self, together: Together) -> Solution:
        """Volts and amps at a moment, coils that pull in taking their inrush. The moment has to be a reached one."""
        position = position_at(self.standings, together.moment)
        return self.pulled(together.pulling).solve(position)

    def pulled(self, elements: tuple[str, ...]) -> Network:
        """The network while some coils have their armature open."""
        if not elements:
            return self.network
        found = self._pulled.get(elements)
        if found is None:
            found = self._pulled[elements] = self.network.edited(
                [_open_armature(e, self.loads[e].load) for e in elements]
            )
        return found

    @cached_property
    def _pulled(self) -> dict[tuple[str, ...], Network]:
        return {}

    @cached_property
    def solved(self) -> tuple[tuple[Together, Solution], ...]:
        """The heaviest moments with their volts and amps; behind an over-estimate, one standing for each load."""
        reached = [one for one in self.moments if one.moment.standing] if self.reach.exact else list(self._found())
        return tuple((one, self.solve(one)) for one in reached[:MOST_SOLVED])

    def _found(self) -> Iterator[Together]:
        """For every load a settled standing in which it is on: pulling in on top of the rest, if it has an inrush."""
        program = self.standings.program
        literals = [program.full[element] for element in self.loads]
        for element, wired in self.loads.items():
            standing = self.standings.find([program.full[element]])
            if standing is not None:
                on = dict(zip(self.loads, program.gates.values(standing, literals), strict=True))
                held = frozenset(e for e in self.loads if on[e] and (e != element or not has_inrush(wired.load)))
                yield self._together(Moment(held, frozenset({element}) - held, standing))

    @cached_property
    def runs(self) -> dict[str, frozenset[tuple[str, str]]]:
        """The wires with ohms by cable ("W1"), those of no cable by number ("wire 7")."""
        found: dict[str, set[tuple[str, str]]] = {}
        for ends, wire in self.long_wires.items():
            found.setdefault(wire.cable or f"wire {wire.number}", set()).add(ends)
        return {name: frozenset(ends) for name, ends in found.items()}

    def lost_in(self, run: str, element: str, together: Together) -> float:
        """Volts that a load gets less because of one run of wires: solved with and without its resistance."""
        return self.volts_at(run, 0.0, element, together) - self.volts_at(run, 1.0, element, together)

    def volts_at(self, run: str, times: float, element: str, together: Together) -> float:
        """Volts at a load if a run of wires were so many times as long."""
        network = self._stretched.get((run, times))
        if network is None:
            scaled = {ends: ohms * (times if ends in self.runs[run] else 1.0) for ends, ohms in self.wire_ohms.items()}
            network = self._stretched[run, times] = self.structure.network.edited([Conductors(tuple(scaled.items()))])
        pulling = network.edited([_open_armature(e, self.loads[e].load) for e in together.pulling])
        return pulling.solve(position_at(self.standings, together.moment)).load(element).acting_v

    @cached_property
    def _stretched(self) -> dict[tuple[str, float], Network]:
        return {}

    @property
    def looked_at(self) -> str:
        """A warning for figures that are the largest of some standings alone; "" where all states were walked."""
        if self.reach.exact:
            return ""
        return f"too many states to walk through: the most of {len(self.solved)} standings, there may be more"

    @property
    def scope(self) -> str:
        """How sure "the most" is, as a sentence for the sheet."""
        if self.reach.exact:
            return f"over all {self.reach.states} states that the panel can reach"
        return "a safe over-estimate: too many states to walk through, so that some counted may never be reached"


def held_amps(circuit: ControlCircuit) -> float:
    """The most that is held in, in amperes."""
    return circuit.heaviest.va / circuit.volts if circuit.heaviest else 0.0


def _open_armature(element: str, load: Load) -> Taking:
    power = pulling_power(load, load.rated_v)
    impedance = load.rated_v**2 / power.conjugate()
    return Taking(element, impedance.real, impedance.imag)


def control_circuits(job: Job) -> tuple[ControlCircuit, ...]:
    """The control circuits of a panel, in file order; supplies that feed no load are left out. Kept on the circuit."""
    kept: tuple[ControlCircuit, ...] | None = job.circuit.__dict__.get("_control_circuits")
    if kept is None:
        kept = job.circuit.__dict__["_control_circuits"] = _circuits(job)
    return kept


def _circuits(job: Job) -> tuple[ControlCircuit, ...]:
    structure = Structure(job.circuit, job.wiring)
    standings = Standings(_plain(structure.network), switched_on=True)
    found = []
    primaries = [w for w in structure.wired if isinstance(w.part, Load) and w.part.sort == "primary"]
    in_rungs = [wired for wired in structure.loads if structure.rung_of(wired.id) is not None]
    for device, source in structure.circuit.supplies:
        loads = {w.id: w for w in in_rungs if _is_fed(structure, w, device, source)}
        if device.kind in SUPPLIES:
            loads |= {w.id: w for w in primaries if w.device is not device and _is_fed(structure, w, device, source)}
        if loads:
            found.append(ControlCircuit(job, structure, standings, device, source, loads))
    return tuple(found)


def _plain(network: Network) -> Network:
    """The network with electronic outputs as plain contacts: what they drop is left to the solved volts."""
    plain = network.edited(())
    for key, switch in plain.elements.switches.items():
        if switch.sort == "contact" and switch.ohms:
            plain.elements.switches[key] = replace(switch, ohms=0.0)
    return plain


def _is_fed(structure: Structure, wired: Wired, device: Device, source: Source) -> bool:
    if wired.load.name == "leakage":
        return False
    return any(d is device and s is source for d, s, _ in structure.fed_by(wired))
