"""Names: what is declared where, and the nearest one for a slip."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from difflib import SequenceMatcher
from functools import lru_cache

from panelwright.circuit import Device, Problem, Span

_PLACES_TOLD = 5
_GLUED = re.compile(r"([0-9]*[A-Z]+[0-9]+)((?:no|nc|coil)[0-9]*)")
_POINT = re.compile(r"@\s?(\w+)")


@dataclass
class Names:
    """Everything that the lines of one file declare, filled while reading."""

    devices: dict[str, Device] = field(default_factory=dict)
    supplies: set[str] = field(default_factory=set)
    places: dict[str, Span] = field(default_factory=dict)
    rails: dict[str, Span] = field(default_factory=dict)
    points: dict[str, list[Span]] = field(default_factory=dict)
    point_wires: dict[str, int] = field(default_factory=dict)  # wires of a point of a power path
    problems: list[Problem] = field(default_factory=list)
    inner_points: set[Span] = field(default_factory=set)  # those that only name a wire inside a rung
    written: set[tuple[str, str]] = field(default_factory=set)  # tag and part of every item of a rung, right or wrong
    unknown: dict[str, list[Span]] = field(default_factory=dict)  # where undeclared tags are used
    unread: str = ""  # rungs that could not be read: what they name is not missing elsewhere

    def declare(self, device: Device) -> None:
        """Add a device; a tag or rail given twice is a problem that names both lines."""
        span = device.span or Span(1, 1)
        if device.tag in self.devices:
            other = self.devices[device.tag].span or Span(1, 1)
            self.problems.append(_twice("PW030", f"device {device.tag}", span, other))
            return
        self.devices[device.tag] = device
        for source in device.sources:
            self.supplies.add(device.tag)
            for rail in source.rails:
                self.rails.setdefault(rail, span)

    def add(self, found: Names) -> None:
        """Take over what looking up one line has found."""
        self.problems += found.problems
        self.inner_points |= found.inner_points
        self.written |= found.written
        self.unread += found.unread
        for name, spans in found.points.items():
            self.points.setdefault(name, []).extend(spans)
        for tag, spans in found.unknown.items():
            self.unknown.setdefault(tag, []).extend(spans)

    def clashes(self) -> None:
        """A rail and a device of one name would be told apart by nobody."""
        for rail, span in self.rails.items():
            device = self.devices.get(rail)
            if device is not None and rail not in self.supplies:
                self.problems.append(_twice("PW031", f"rail and device {rail}", device.span or span, span))

    def device(self, tag: str, span: Span | None) -> Device | None:
        """The device with a tag; an unknown one will be told once, with all places that use it."""
        found = self.devices.get(tag)
        if found is None:
            self.unknown.setdefault(tag, []).append(span or Span(1, 1))
        return found

    def unknown_devices(self) -> None:
        """One problem for every undeclared tag, with the nearest name."""
        for tag, spans in self.unknown.items():
            first, *rest = sorted(spans)
            glued = _GLUED.fullmatch(tag)
            near = nearest(tag, list(self.devices))
            other = self.devices[near].span if near else None
            mend = f"write {near} (line {other.line}), or declare" if near and other else "declare"
            if glued and glued.group(1) in self.devices:
                mend = f"write {glued.group(1)}.{glued.group(2)}, or declare"
            self.problems.append(
                Problem(
                    "PW101", f"no device called {tag}",
                    "only devices that the file declares can be used, otherwise nothing could be wired.",
                    f'{mend} {tag} under a heading such as "devices on plate".', first,
                    tuple(("used here too", span) for span in rest[:_PLACES_TOLD]),
                )
            )  # fmt: skip

    def is_known(self, device: Device) -> bool:
        """Whether the kind of a device was understood; if not, its line has been reported and that is enough."""
        return bool(device.kind)

    def rail(self, name: str, span: Span | None) -> bool:
        """Whether a rail is declared; if not, that is a problem."""
        if name in self.rails:
            return True
        self.problems.append(Problem("PW104", f"no rail called {name}", *self._rails_there_are(name), span))
        return False

    def _rails_there_are(self, name: str) -> tuple[str, str]:
        """Why a rail is not known, and what to write."""
        if not self.rails:
            return "no supply in this file names its rails.", 'name it behind the word "rails" of a supply.'
        near = {"plus": "+", "minus": "-"}.get(name) or nearest(name, list(self.rails))
        named = ", ".join(self.rails)
        instead = near if near in self.rails else f"one of {named}"
        return (
            f"the rails that supplies name are {named}.",
            f'write {instead}, or add it to the rails of a supply under "supplies".',
        )

    def not_read(self, text: str) -> None:
        """Keep the words of a rung that could not be read, so that what they name is not told again elsewhere."""
        self.unread += f"{text}\n"

    def may_be_written(self, tag: str) -> bool:
        """Whether a device stands, right or wrong, in a rung that could not be read."""
        return tag.lower() in _letters(self.unread)

    def point(self, name: str, span: Span | None) -> None:
        """Note one use of a point."""
        self.points.setdefault(name, []).append(span or Span(1, 1))

    def points_like_rails(self) -> None:
        """A point with the name of a rail would be another wire with the same number."""
        for rail, span in self.rails.items():
            if rail in self.points:
                self.problems.append(_point_like_rail(rail, self.points[rail][0], span))

    def lonely_points(self) -> None:
        """A point that is used once at the end of a rung is a wire that ends in the air."""
        unread = set(_POINT.findall(self.unread))
        for name, spans in self.points.items():
            if len(spans) > 1 or spans[0] in self.inner_points or name.partition(".")[0] in unread:
                continue
            near = nearest(name, [other for other in self.points if other != name and len(self.points[other]) == 1])
            mend = f"write @{near} at both places" if near else f"use @{name} at the other end too"
            self.problems.append(
                Problem(
                    "PW105", f"the point @{name} is used only here", "the wire would end in the air.",
                    mend + ".", spans[0],
                )
            )  # fmt: skip


@lru_cache(maxsize=4)
def _letters(text: str) -> str:
    return re.sub(r"\s+", "", text).lower()


def _twice(code: str, what: str, span: Span, other: Span) -> Problem:
    return Problem(
        code, f"{what} is declared twice, here and on line {other.line}",
        "every name may stand for one thing only; the first one is kept.", "give one of the two another name.",
        span, (("first declared here", other),),
    )  # fmt: skip


def _point_like_rail(rail: str, span: Span, declared: Span) -> Problem:
    return Problem(
        "PW031", f"the point @{rail} has the name of a rail",
        "both are wires, and would carry the same number without being joined.",
        f"give the point another name; if the rail is meant, let the rung start or end there: rungs from {rail} to ...",
        span, (("the rail is named here", declared),),
    )  # fmt: skip


def nearest(name: str, known: list[str]) -> str | None:
    """The known name most like `name`, if any is like it; of equals the one with the same letters in front."""
    letters = name.lower().rstrip("0123456789")

    def likeness(other: str) -> float:
        alike = SequenceMatcher(None, name.lower(), other.lower()).ratio()
        return alike + (0.2 if other.lower().rstrip("0123456789") == letters else 0.0)

    best = max(known, key=likeness, default=None)
    return best if best is not None and likeness(best) >= 0.5 else None
