"""When a motor has full volts, and in which direction, as gates."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from itertools import permutations, product
from typing import TYPE_CHECKING

from ..circuit import Motor
from .gates import FALSE
from .motors import judged

if TYPE_CHECKING:
    from .gate_program import Place, _Compiler
    from .potentials import RailPair

Literals = dict[str, int]


def motor_gates(compiler: _Compiler) -> tuple[Literals, Literals, Literals]:
    """Literals by motor: full volts forward, full volts in reverse, may get something."""
    forward: Literals = {}
    reverse: Literals = {}
    touched: Literals = {}
    for device in compiler.network.circuit.devices:
        for motor in device.motors:
            element = f"{device.tag}.{motor.name}"
            leads = [compiler.where(f"{device.tag}.{lead}") for lead in motor.leads]
            forward[element], reverse[element] = _directions(compiler, motor, leads)
            may = [compiler.to(compiler.loose, lead, rail) for lead in leads for rail in compiler.rails]
            touched[element] = compiler.gates.any_of(may)
    return forward, reverse, touched


def _directions(compiler: _Compiler, motor: Motor, leads: Sequence[Place]) -> tuple[int, int]:
    if len(leads) >= 6:
        u1, v1, w1, w2, u2, v2 = leads[:6]
        delta = _between_rails(compiler, motor, [(u1, u2), (v1, v2), (w1, w2)])
        star = _from_star(compiler, motor, [u1, v1, w1], [u2, v2, w2])
        return compiler.gates.or_(delta[0], star[0]), compiler.gates.or_(delta[1], star[1])
    if motor.phases == 1 or len(leads) == 2:
        return _between_rails(compiler, motor, [(leads[0], leads[1])])
    return _lines(compiler, motor, leads[:3])


def _between_rails(compiler: _Compiler, motor: Motor, windings: Sequence[tuple[Place, Place]]) -> tuple[int, int]:
    """Each winding between two rails; all choices of rails that make the motor run."""
    gates = compiler.gates
    found = {"forward": FALSE, "reverse": FALSE}
    options = [[(pair, _stands(compiler, w, pair)) for pair in compiler.potentials.pairs] for w in windings]
    options = [[(pair, literal) for pair, literal in choice if literal != FALSE] for choice in options]
    for choice in product(*options):
        for hertz in {h for h, _ in choice[0][0].level.ac} or {0.0}:
            state, _ = judged(motor, [_volts(pair, hertz) for pair, _ in choice], hertz)
            if state in found:
                found[state] = gates.or_(found[state], gates.all_of(literal for _, literal in choice))
    return found["forward"], found["reverse"]


def _stands(compiler: _Compiler, winding: tuple[Place, Place], pair: RailPair) -> int:
    a, b = winding
    ends = compiler.gates.and_(compiler.to(compiler.tight, a, pair.a), compiler.to(compiler.tight, b, pair.b))
    return compiler.gates.and_(ends, compiler.all_on(pair.tags)) if ends != FALSE else FALSE


def _volts(pair: RailPair, hertz: float) -> complex:
    return dict(pair.level.ac).get(hertz, 0.0) if hertz else pair.level.dc


def _lines(compiler: _Compiler, motor: Motor, leads: Sequence[Place], joined: int = 1) -> tuple[int, int]:
    """Three leads on three rails, the other ends in a star; `joined`: literal of the star being made."""
    gates = compiler.gates
    found = {"forward": FALSE, "reverse": FALSE}
    between: dict[tuple[Place, Place], list[RailPair]] = defaultdict(list)
    for pair in compiler.potentials.pairs:
        between[pair.a, pair.b].append(pair)
    for rails in permutations(compiler.rails, 3):
        ends = gates.all_of(compiler.to(compiler.tight, *end) for end in zip(leads, rails, strict=True))
        if ends == FALSE:
            continue
        sides = [between[rails[0], rails[1]], between[rails[1], rails[2]], between[rails[2], rails[0]]]
        for pairs in product(*sides):
            on = gates.all_of((joined, ends, compiler.all_on(tag for pair in pairs for tag in pair.tags)))
            for hertz in {h for h, _ in pairs[0].level.ac}:
                uv, vw, wu = (_volts(pair, hertz) for pair in pairs)
                state, _ = judged(motor, [(uv - wu) / 3, (vw - uv) / 3, (wu - vw) / 3], hertz)
                if state in found:
                    found[state] = gates.or_(found[state], on)
    return found["forward"], found["reverse"]


def _from_star(compiler: _Compiler, motor: Motor, leads: Sequence[Place], far: Sequence[Place]) -> tuple[int, int]:
    """Three windings whose far ends are joined to one another and to no line."""
    gates = compiler.gates
    tight = compiler.tight
    lines = [rail for rail in compiler.rails if any(p.level.ac for p in compiler.potentials.pairs if p.a == rail)]
    joined = gates.and_(tight[far[0]][far[1]], tight[far[1]][far[2]])
    free = gates.any_of(tight[far[0]][rail] for rail in lines) ^ 1
    return _lines(compiler, motor, leads, gates.and_(joined, free))
