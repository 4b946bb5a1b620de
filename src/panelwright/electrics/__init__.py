"""What flows: volts, amps and verdicts of a circuit in any contact position."""

from .edits import (
    Conductors,
    Edit,
    Exchanged,
    InSeries,
    Joined,
    Lifted,
    Meter,
    Moved,
    Opened,
    Shorted,
    SupplyAt,
    SupplyLimited,
    Taking,
    UnknownPlace,
    WireOpened,
)
from .gate_program import GateProgram, compile_gates, own_input
from .gates import FALSE, TRUE, GateBuilder, Gates
from .motors import MotorAnswer
from .network import Network
from .positions import DeviceState, Position, is_closed, operated, position_of, rest_state
from .shorts import Overload, Short
from .solution import Level, LoadAnswer, Solution, Verdict, acting_volts, working_volts
from .surroundings import Surroundings, surroundings_of

__all__ = [
    "FALSE",
    "TRUE",
    "Conductors",
    "DeviceState",
    "Edit",
    "Exchanged",
    "GateBuilder",
    "GateProgram",
    "Gates",
    "InSeries",
    "Joined",
    "Level",
    "Lifted",
    "LoadAnswer",
    "Meter",
    "MotorAnswer",
    "Moved",
    "Network",
    "Opened",
    "Overload",
    "Position",
    "Short",
    "Shorted",
    "Solution",
    "SupplyAt",
    "SupplyLimited",
    "Surroundings",
    "Taking",
    "UnknownPlace",
    "Verdict",
    "WireOpened",
    "acting_volts",
    "compile_gates",
    "is_closed",
    "operated",
    "own_input",
    "position_of",
    "rest_state",
    "surroundings_of",
    "working_volts",
]
