"""The timing diagram of a run or a trial."""

from __future__ import annotations

from ..behaviour import Trace as Course
from ..behaviour import chart_of
from .display import Drawing
from .timing import Event, SetTime, Trace, timing_drawing


def course_drawing(course: Course, *, title: str = "", end_s: float | None = None) -> Drawing:
    """Everything that moved in a course as a timing diagram, told in words below.

    `course`: the trace of a run or of a trial. `end_s`: last second shown, by default a little after the last change.
    """
    chart = chart_of(course)
    return timing_drawing(
        [Trace(line.tag, line.words, line.steps, line.element) for line in chart.lines],
        [Event(event.time_s, event.letter, event.sentence) for event in chart.events],
        title=title,
        set_times=[SetTime(time.tag, time.start_s, time.end_s, time.text) for time in chart.set_times],
        end_s=end_s,
    )
