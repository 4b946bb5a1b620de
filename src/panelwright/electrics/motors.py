"""Whether a motor runs, and which way."""

from __future__ import annotations

import cmath
import math
from dataclasses import dataclass
from typing import Literal

from ..circuit import Motor
from .elements import Consumer
from .solving import Settling

RUNS_AT = 0.85  # of rated volts on every winding; common practice, no source
TOUCHED_AT = 0.1  # below this part of rated volts it is as good as dead
UNEVEN = 0.5  # of the turning field, what may turn against it; with a lost phase the two are equal; common practice
MotorState = Literal["stopped", "forward", "reverse", "hums"]


@dataclass(frozen=True, slots=True)
class MotorAnswer:
    """One motor.

    `state`: "forward" when the phases follow one another as its leads are marked, "hums" when it has volts but
    cannot be trusted to run (a phase lost, volts too low). `connection`: "star" or "delta" for six leads while it
    runs. `volts`: lowest and highest across a winding; `amps`: the highest in a winding.
    """

    element: str
    state: MotorState
    connection: str = ""
    volts: tuple[float, float] = (0.0, 0.0)
    amps: float = 0.0


def motor_answer(settling: Settling, element: str, motor: Motor) -> MotorAnswer:
    """What the motor does in the position that was solved."""
    windings = [c for key, c in settling.consumers.items() if key == element or key.startswith(f"{element}:")]
    if not windings:
        return MotorAnswer(element, "stopped")
    hertz = _strongest(settling, windings)
    volts = [settling.across(winding, hertz) or 0.0 for winding in windings]
    amps = max(abs(winding.siemens(hertz) * v) for winding, v in zip(windings, volts, strict=True))
    reach = min(map(abs, volts)), max(map(abs, volts))
    state, connection = judged(motor, volts, hertz)
    return MotorAnswer(element, state, connection, reach, amps)


def _strongest(settling: Settling, windings: list[Consumer]) -> float:
    """The frequency at which the motor has most volts."""
    return max(settling.flows, key=lambda hertz: sum(abs(settling.across(w, hertz) or 0.0) for w in windings))


def judged(motor: Motor, volts: list[complex], hertz: float) -> tuple[MotorState, str]:
    delta_v, star_v = motor.volts, motor.volts / math.sqrt(3)
    if max(map(abs, volts)) < TOUCHED_AT * star_v:
        return "stopped", ""
    if len(volts) == 1:
        runs = abs(volts[0]) >= RUNS_AT * motor.volts
        backwards = hertz == 0 and volts[0].real < 0
        return ("hums" if not runs else "reverse" if backwards else "forward"), ""
    six = len(motor.leads) >= 6
    lowest = min(map(abs, volts))
    if hertz == 0 or lowest < RUNS_AT * star_v:
        return "hums", ""
    turn = cmath.rect(1, 2 * math.pi / 3)
    follows = abs(volts[0] + turn * volts[1] + turn**2 * volts[2]) / 3  # positive-sequence part
    against = abs(volts[0] + turn**2 * volts[1] + turn * volts[2]) / 3
    stronger, weaker = max(follows, against), min(follows, against)
    if stronger < RUNS_AT * star_v or weaker > UNEVEN * stronger:
        return "hums", ""
    connection = "" if not six else "delta" if lowest >= RUNS_AT * delta_v else "star"
    return ("forward" if follows > against else "reverse"), connection
