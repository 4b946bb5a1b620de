"""Where every device stands, and which contacts are closed then. One meaning of "closed", shared by all parts.

A mechanism at rest has its break contacts closed, an operated one its make contacts, one on its way neither: a
change-over breaks before it makes.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Literal

from ..circuit import Circuit, Contact, Device, Fuse, Source

Stage = Literal["rest", "moving", "operated"]


@dataclass(frozen=True, slots=True)
class DeviceState:
    """Where one device stands.

    `stage`: its mechanism; `timed`: its timed contacts (timers), which move by themselves.
    `at`: position of a selector, "" while between two. `blown`: names of its fuses and poles that have opened.
    `on`: for a supply, whether it gives its volts.
    """

    stage: Stage = "rest"
    timed: Stage = "rest"
    at: str = ""
    blown: frozenset[str] = frozenset()
    on: bool = True


@dataclass(frozen=True, slots=True)
class Position:
    """One contact position of the whole circuit: all that the currents depend on.

    `closed`: contacts by element id ("K1.13-14"); every other contact is open.
    `blown`: fuses by element id; every other fuse conducts. `off`: supplies by tag that give nothing.
    """

    closed: frozenset[str] = frozenset()
    blown: frozenset[str] = frozenset()
    off: frozenset[str] = frozenset()

    def moved(self, close: Iterable[str] = (), open_: Iterable[str] = ()) -> Position:
        """The position with some contacts closed and others opened."""
        return Position((self.closed | frozenset(close)) - frozenset(open_), self.blown, self.off)


def rest_state(device: Device) -> DeviceState:
    """The state in which a device stands before anything has happened: untouched, no current, supplies on."""
    return DeviceState("operated" if device.mechanism.start == "on" else "rest", at=device.mechanism.start)


def is_closed(contact: Contact, state: DeviceState) -> bool:
    """Whether a contact conducts while its device stands like this."""
    if contact.form == "at":
        return state.at in contact.positions
    stage = state.timed if contact.timing == "timed" else state.stage
    return stage == ("operated" if contact.form == "no" else "rest")


def position_of(circuit: Circuit, states: Mapping[str, DeviceState]) -> Position:
    """The contact position for device states by tag; devices that are not named stand at rest."""
    closed: list[str] = []
    blown: list[str] = []
    off: list[str] = []
    for device in circuit.devices:
        state = states.get(device.tag) or rest_state(device)
        for part in device.parts:
            if isinstance(part, Contact) and is_closed(part, state):
                closed.append(f"{device.tag}.{part.name}")
            elif isinstance(part, Fuse) and part.name in state.blown:
                blown.append(f"{device.tag}.{part.name}")
            elif isinstance(part, Source) and not state.on:
                off.append(device.tag)
    return Position(frozenset(closed), frozenset(blown), frozenset(off))


def operated(*tags: str, at: Mapping[str, str] | None = None) -> dict[str, DeviceState]:
    """States for `position_of`: the named devices operated, timed contacts too, and selectors turned."""
    states = {tag: DeviceState("operated", "operated") for tag in tags}
    states.update({tag: DeviceState(at=position) for tag, position in (at or {}).items()})
    return states
