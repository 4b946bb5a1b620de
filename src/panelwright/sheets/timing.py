"""Timing diagrams: one line a device in the order of the story, events as lettered lines told in words below."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import ceil, floor, log10

from .display import Circle, Drawing, Group, Item, Line, Rect, Text
from .fonts import text_width_mm
from .style import TEXTS
from .words import wrapped

ROW_MM = 13.0
HIGH_MM = 7.5
MARGIN_MM = 8.0
_LETTER_R = 2.6
_NEAR_MM = 2 * _LETTER_R + 0.8


@dataclass(frozen=True, slots=True)
class Trace:
    """One device over time. `steps`: (second, level, word) from then on; level 1 high, 0 low, between: partly.

    The first step holds from the beginning; the word stands in the step ("in", "closed", "lit", "").
    """

    tag: str
    words: str
    steps: tuple[tuple[float, float, str], ...]
    element: str = ""


@dataclass(frozen=True, slots=True)
class Event:
    """Something that happened: its second, the letter that marks it, the sentence that tells it."""

    time_s: float
    letter: str
    sentence: str


@dataclass(frozen=True, slots=True)
class SetTime:
    """A dimension line above the trace of `tag`: a set time that was counted, e.g. "5.0 s"."""

    tag: str
    start_s: float
    end_s: float
    text: str


def timing_drawing(
    traces: Sequence[Trace],
    events: Sequence[Event] = (),
    *,
    title: str = "",
    set_times: Sequence[SetTime] = (),
    end_s: float | None = None,
    width_mm: float = 200.0,
) -> Drawing:
    """A timing diagram.

    `end_s`: last second shown, by default a little after the last change. `width_mm`: of the time axis. Where events
    lie too close for an even scale, the axis is stretched there and says so.
    """
    return _Diagram(traces, events, title, set_times, end_s, width_mm).draw()


def letters(count: int) -> list[str]:
    """ "a" to "z", then "aa", "ab", ... for events."""
    alphabet = "abcdefghijklmnopqrstuvwxyz"
    found = [*alphabet]
    found += [first + second for first in alphabet for second in alphabet]
    return found[:count]


class _Diagram:
    def __init__(
        self,
        traces: Sequence[Trace],
        events: Sequence[Event],
        title: str,
        set_times: Sequence[SetTime],
        end_s: float | None,
        width_mm: float,
    ) -> None:
        self.traces, self.events, self.title, self.set_times = traces, events, title, set_times
        last = max([t for trace in traces for t, *_ in trace.steps] + [e.time_s for e in events], default=0.0)
        self.end_s = end_s if end_s is not None else _rounded_up(last + max(last * 0.05, 0.2))
        self.axis_x = MARGIN_MM + self.names_mm() + 6
        self.top = MARGIN_MM + (16 if title else 9) + 4
        self.scale = _Scale(0.0, self.end_s, [e.time_s for e in events], self.axis_x, width_mm)

    def names_mm(self) -> float:
        self.tag_mm = max((text_width_mm(t.tag, 600, 2.5) for t in self.traces), default=0.0) + 4
        return self.tag_mm + max((text_width_mm(t.words, 400, 2.5) for t in self.traces), default=0.0)

    def draw(self) -> Drawing:
        right = self.axis_x + self.scale.width
        bottom = self.top + len(self.traces) * ROW_MM
        items: list[Item] = []
        if self.title:
            items.append(Text(MARGIN_MM, MARGIN_MM + 3.5, self.title, "title"))
        said = "time in seconds" if self.scale.even else "time in seconds, stretched where much happens at once"
        items.append(Text(MARGIN_MM, MARGIN_MM + (9.5 if self.title else 2.5), said, "subtitle"))
        items.extend(self.ruler(bottom))
        for row, trace in enumerate(self.traces):
            items.append(
                Group(tuple(self.trace(trace, row, right)), element=trace.element, device=trace.tag, role="trace")
            )
        items.extend(self.counted())
        items.extend(self.event_marks(bottom))
        told, height = self.story(bottom + 14)
        items.extend(told)
        width = max(right, max((i.x + i.width for i in told if isinstance(i, Text)), default=0.0)) + MARGIN_MM
        sentence = "; ".join(e.sentence for e in self.events)
        return Drawing(width, height + MARGIN_MM, tuple(items), self.title or "Timing diagram", sentence)

    # ---------------------------------------------------------------- axis
    def ruler(self, bottom: float) -> list[Item]:
        items: list[Item] = []
        for time, text in self.scale.ticks():
            x = self.scale.x(time)
            items.append(Line(((x, self.top - 1), (x, bottom)), "rule"))
            items.append(Text(x, self.top - 2.2, text, "line-number", "middle"))
        return items

    # ---------------------------------------------------------------- traces
    def trace(self, trace: Trace, row: int, right: float) -> list[Item]:
        base = self.top + (row + 1) * ROW_MM - 3.0
        middle = base - HIGH_MM / 2 + 1.25
        items: list[Item] = [
            Line(((MARGIN_MM, base + 3.0), (right, base + 3.0)), "rule"),
            Text(MARGIN_MM, middle, trace.tag, "tag"),
            Text(MARGIN_MM + self.tag_mm, middle, trace.words, "function"),
        ]
        spans = self.spans(trace)
        for x0, x1, level, word in spans:
            y = base - level * HIGH_MM
            if level > 0:
                items.append(Rect(x0, y, x1 - x0, base - y, "high"))
            items.append(Line(((x0, y), (x1, y)), "level-high" if level > 0 else "level"))
            if level > 0 and word:
                items.extend(self.word(word, x0, x1, base - min(level, 1.0) * HIGH_MM / 2 + 1.25, spans))
        for (_, x, before, _), (_, _, after, _) in pairwise(spans):
            items.append(Line(((x, base - before * HIGH_MM), (x, base - after * HIGH_MM)), "level"))
        return items

    def spans(self, trace: Trace) -> list[tuple[float, float, float, str]]:
        """(x0, x1, level, word) of each stretch of one level; changes within one moment are kept."""
        steps = list(trace.steps) or [(0.0, 0.0, "")]
        times = [0.0, *(t for t, *_ in steps[1:]), self.end_s]
        return [
            (self.scale.x(start), self.scale.x(end), level, word)
            for (start, end), (_, level, word) in zip(pairwise(times), steps, strict=True)
        ]

    def word(
        self, word: str, x0: float, x1: float, y: float, spans: list[tuple[float, float, float, str]]
    ) -> list[Item]:
        """The word of a step: between event lines where it fits, else to the right of the step, else left out."""
        width = text_width_mm(word, TEXTS["level-word"].weight, 2.5) + 1.6
        lines = sorted(x for e in self.events if x0 < (x := self.scale.x(e.time_s)) < x1)
        places = sorted(pairwise([x0, *lines, x1]), key=lambda p: p[0] - p[1])
        if places and places[0][1] - places[0][0] >= width:
            return [Text(sum(places[0]) / 2, y, word, "level-word", "middle")]
        after = next((s for s in spans if s[0] >= x1 - 1e-6 and s[2] == 0), None)
        blocked = [x for e in self.events if x1 - 0.1 < (x := self.scale.x(e.time_s)) < x1 + width + 1.0]
        if after and after[1] - after[0] > width + 1.0 and not [x for x in blocked if x > x1 + 0.1]:
            return [Text(x1 + 1.2, y, word, "level-word")]
        return []

    def counted(self) -> list[Item]:
        """Set times as dimension lines, above the trace they belong to."""
        rows = {trace.tag: row for row, trace in enumerate(self.traces)}
        items: list[Item] = []
        for counted in self.set_times:
            if counted.tag not in rows:
                continue
            y = self.top + rows[counted.tag] * ROW_MM + 1.2
            x0, x1 = self.scale.x(counted.start_s), self.scale.x(counted.end_s)
            width = text_width_mm(counted.text, 500, 2.5) + 2
            if x1 - x0 < width + 6:
                continue
            middle = (x0 + x1) / 2
            items.append(Text(middle, y + 1.25, counted.text, "number", "middle"))
            for x, edge, inward in ((x0, middle - width / 2, 1), (x1, middle + width / 2, -1)):
                items.append(Line(((x, y), (edge, y)), "measure"))
                head = ((x, y), (x + inward * 2, y - 0.6), (x + inward * 2, y + 0.6))
                items.append(Line(head, "measure-head", True))
        return items

    # ---------------------------------------------------------------- events
    def event_marks(self, bottom: float) -> list[Item]:
        items: list[Item] = []
        last = [-99.0, -99.0]
        for event in self.events:
            x = self.scale.x(event.time_s)
            low = 0 if x - last[0] >= _NEAR_MM else 1
            last[low] = x
            y = bottom + 4.5 + low * (_NEAR_MM + 0.4)
            items.append(Line(((x, self.top), (x, y - _LETTER_R)), "event"))
            items.append(Circle(x, y, _LETTER_R, "flag"))
            items.append(Text(x, y + 1.25, event.letter, "mark", "middle"))
        return items

    def story(self, top: float) -> tuple[list[Item], float]:
        items: list[Item] = []
        y = top + 6
        x = MARGIN_MM + _LETTER_R
        for event in self.events:
            items.append(Circle(x, y - 1.25, _LETTER_R, "flag"))
            items.append(Text(x, y, event.letter, "mark", "middle"))
            for line in wrapped(event.sentence, max(self.scale.width, 120.0), "note"):
                items.append(Text(x + 6, y, line, "note"))
                y += 4.2
            y += 2.6
        return items, y - 2.6


class _Scale:
    """Seconds to mm: even if the events have room, else stretched between them."""

    def __init__(self, start: float, end: float, events: list[float], x: float, width: float) -> None:
        self.end = max(end, start + 1e-6)
        stops = sorted({start, self.end, *(t for t in events if start < t < self.end)})
        even = [(b - a) / (self.end - start) * width for a, b in pairwise(stops)]
        first, last = 0 if start in events else 1, len(even) - (self.end not in events)
        self.even = all(length >= _NEAR_MM / 2 for length in even[first:last])  # each between two events
        lengths = even if self.even else [max(length, _NEAR_MM) for length in even]
        self.places = [(stops[0], x)]
        for stop, length in zip(stops[1:], lengths, strict=True):
            self.places.append((stop, self.places[-1][1] + length))
        self.width = self.places[-1][1] - x

    def x(self, time: float) -> float:
        for (t0, x0), (t1, x1) in pairwise(self.places):
            if time <= t1:
                return x0 + (max(time, t0) - t0) / (t1 - t0) * (x1 - x0)
        return self.places[-1][1]

    def ticks(self) -> list[tuple[float, str]]:
        """Round seconds on an even axis; on a stretched one the seconds of the events that have room."""
        if self.even:
            step = _round_step(self.end / max(self.width / 16, 1))
            count = floor(self.end / step + 1e-9)
            return [(k * step, f"{k * step:.10g}") for k in range(count + 1)]
        found: list[tuple[float, str]] = []
        free = -1e9
        for time, x in self.places:
            text = f"{time:.3f}".rstrip("0").rstrip(".") or "0"
            half = text_width_mm(text, 500, 2.5) / 2
            if x - half > free + 1.2:
                found.append((time, text))
                free = x + half
        return found


def _rounded_up(end: float) -> float:
    step = _round_step(end / 50)
    return ceil(end / step - 1e-9) * step


def _round_step(least: float) -> float:
    """The next of 1, 2, 5 times a power of ten."""
    power = 10.0 ** floor(log10(least)) if least > 0 else 1.0
    return next(f * power for f in (1, 2, 5, 10) if f * power >= least - 1e-12)
