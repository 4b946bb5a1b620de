"""What flows: volts, amps and verdicts of a circuit in any contact position."""

from .edits import (
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
    UnknownPlace,
    WireOpened,
)
from .motors import MotorAnswer
from .network import Network
from .positions import DeviceState, Position, is_closed, operated, position_of, rest_state
from .shorts import Overload, Short
from .solution import Level, LoadAnswer, Solution, Verdict, acting_volts, working_volts

__all__ = [
    "DeviceState",
    "Edit",
    "Exchanged",
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
    "UnknownPlace",
    "Verdict",
    "WireOpened",
    "acting_volts",
    "is_closed",
    "operated",
    "position_of",
    "rest_state",
    "working_volts",
]
