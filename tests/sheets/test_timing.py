"""Timing diagrams: every step, word and sentence is there, and nothing overlaps."""

from __future__ import annotations

from geometry import overlaps, texts
from hypothesis import example, given, settings
from hypothesis import strategies as st

from panelwright.sheets.display import Line, walk
from panelwright.sheets.timing import Event, SetTime, Trace, letters, timing_drawing

START = Trace("S2", "Start", ((0, 0, ""), (1, 1, ""), (1.6, 0, "")))
RELAY = Trace("K1", "Pump run", ((0, 0, ""), (1.02, 1, "in"), (8.63, 0, "")))
TIMED = Trace("T1 17-18", "timed make", ((0, 0, ""), (6.02, 1, "closed"), (8.63, 0, "")))
EVENTS = (
    Event(1, "a", "S2 pressed; K1 pulls in."),
    Event(6.02, "b", "T1 has counted 5 s."),
    Event(8.6, "c", "S1 pressed; all drop out."),
)


def test_trace_rises_and_falls_where_it_should() -> None:
    """On an even axis of 200 mm for 10 s, one second is 20 mm."""
    drawing = timing_drawing([RELAY], end_s=10, width_mm=200)
    highs = [i for i, _ in walk(drawing.items) if isinstance(i, Line) and i.look == "level-high"]
    lows = [i for i, _ in walk(drawing.items) if isinstance(i, Line) and i.look == "level"]
    left = min(p[0] for line in lows for p in line.points)

    assert [round((p[0] - left) / 20, 3) for p in highs[0].points] == [1.02, 8.63]


def test_words_events_and_set_times_are_told() -> None:
    """Words in the steps, letters on the axis and below, the counted time as a dimension."""
    drawing = timing_drawing(
        [START, RELAY, TIMED], EVENTS, title="One run", set_times=[SetTime("T1 17-18", 1.02, 6.02, "5.0 s")]
    )
    said = [t.text for t, _ in texts(drawing)]

    assert {"in", "closed", "5.0 s", "One run", *(e.sentence for e in EVENTS)} <= set(said)
    assert said.count("a") == 2
    assert overlaps(drawing) == []


def test_crowded_moment_is_stretched_and_says_so() -> None:
    """A race within milliseconds beside a stop seconds later: still readable, and no lie about the scale."""
    events = (Event(1, "a", "S2 pressed."), Event(1.015, "b", "K1."), Event(1.03, "c", "K2."), Event(9, "d", "S1."))
    drawing = timing_drawing([START, RELAY], events)
    said = [t.text for t, _ in texts(drawing)]

    assert "time in seconds, stretched where much happens at once" in said
    assert overlaps(drawing) == []


def test_letters_go_on_after_z() -> None:
    """Long stories do not run out of letters."""
    assert letters(28)[-3:] == ["z", "aa", "ab"]


@settings(max_examples=40, deadline=None)
@given(st.lists(st.floats(0.0, 60.0), min_size=0, max_size=14), st.floats(0.001, 5))
@example([0.0, 0.125, 1.0, 48.0], 1.0)
def test_nothing_overlaps_for_any_times(times: list[float], held: float) -> None:
    """Any events, close or far: letters, numbers and words keep clear."""
    times = sorted({round(t, 3) for t in times})
    events = [Event(t, letter, f"At {t} s.") for t, letter in zip(times, letters(len(times)), strict=True)]
    steps = [(0.0, 0.0, "")]
    for t in times:
        if t > steps[-1][0] + held:
            steps.append((t, 1.0 - steps[-1][1], "in"))
    drawing = timing_drawing([Trace("K1", "Pump", tuple(steps))], events, title="Any")

    assert overlaps(drawing) == []
