"""Judging one expectation of a trial against a run."""

from __future__ import annotations

from dataclasses import dataclass

from ..circuit import Condition, Expect, Is
from ..electrics import Level, UnknownPlace
from .explaining import level_text, why
from .paths import listed
from .places import UnclearPlace, element_of, place_of
from .run import Run
from .state import PanelState
from .typed import condition_text

LEAST_TOLERANCE_V, LEAST_TOLERANCE_A, TOLERANCE = 1.0, 0.002, 0.05  # where a trial gives none


@dataclass(frozen=True, slots=True)
class Miss:
    """What was seen instead of what was expected, and why."""

    seen: str
    why: str = ""


def judge(run: Run, expect: Expect) -> Miss | None:
    """None when it is seen. Time goes by for expectations that take time."""
    if expect.form == "stays":
        return _stays(run, expect)
    if expect.within is not None:
        return _within(run, expect)
    return _now(run, expect)


def _now(run: Run, expect: Expect) -> Miss | None:
    form = expect.form
    if form == "state" and expect.state is not None:
        return _state(run.state, expect.state)
    if form == "never" and expect.condition is not None:
        return _never(run, expect.condition)
    if form == "buzzes":
        return _buzzes(run, expect.subject)
    if form == "no buzzing":
        return Miss("buzzing", str(run.buzzes[-1])) if run.buzzes else None
    if form == "race":
        return None if run.races else Miss("no race")
    if form == "no race":
        return Miss("a race", str(run.races[-1])) if run.races else None
    if form == "short circuit":
        return None if run.shorts else Miss("no short circuit")
    if form == "no short circuit":
        return Miss("a short circuit", short_text(run)) if run.shorts else None
    return _reading(run.state, expect)


def _state(state: PanelState, wanted: Is) -> Miss | None:
    holds, seen = state.seen(wanted)
    if holds:
        return None
    words = seen if wanted.subject in ("power",) or wanted.subject.startswith("@") else f"{wanted.subject} {seen}"
    return Miss(words, why(state, wanted.subject))


def _never(run: Run, condition: Condition) -> Miss | None:
    met = run.ever(condition)
    return None if met is None else Miss(f"{condition_text(condition)}, at {met.now:.3f} s")


def _buzzes(run: Run, subject: str) -> Miss | None:
    tags = {tag for buzz in run.buzzes for tag in buzz.tags}
    if (subject in tags) if subject else tags:
        return None
    if tags:
        return Miss(f"{listed(sorted(tags))} buzzing, not {subject}")
    if not subject:
        return Miss("nothing buzzes")
    return Miss(f"{subject} {run.state.word(subject, 'in')}", why(run.state, subject))


def _stays(run: Run, expect: Expect) -> Miss | None:
    until = run.now + (expect.seconds or 0.0)
    while (miss := _now_state(run, expect)) is None and run.now < until:
        run.advance_to_next(until)
    return miss


def _within(run: Run, expect: Expect) -> Miss | None:
    until = run.now + (expect.within or 0.0)
    while (miss := _now(run, expect)) is not None and run.now < until:
        run.advance_to_next(until)
    return miss


def _now_state(run: Run, expect: Expect) -> Miss | None:
    return _state(run.state, expect.state) if expect.state is not None else None


def _reading(state: PanelState, expect: Expect) -> Miss | None:
    try:
        if expect.form == "amps":
            level = state.solution.amps(element_of(state.circuit, expect.subject))
            return _compared(level, expect, "A", LEAST_TOLERANCE_A, signed=False)
        if expect.other:
            ends = place_of(state.circuit, expect.subject), place_of(state.circuit, expect.other)
            return _compared(state.solution.volts(*ends), expect, "V", LEAST_TOLERANCE_V, signed=True)
        level = state.solution.across(element_of(state.circuit, expect.subject))
        return _compared(level, expect, "V", LEAST_TOLERANCE_V, signed=False)
    except UnclearPlace as unclear:
        return Miss("nothing that can be read", f"{unclear.problem.message}; {unclear.problem.mend}")
    except UnknownPlace as unknown:
        return Miss("nothing that can be read", str(unknown))


def _compared(level: Level, expect: Expect, unit: str, least: float, *, signed: bool) -> Miss | None:
    wanted = expect.value or 0.0
    tolerance = expect.tolerance if expect.tolerance is not None else max(least, TOLERANCE * abs(wanted))
    if level.floating:
        return None if abs(wanted) <= tolerance else Miss(level_text(level, unit), "no path joins the two places")
    read = level.dc if signed and not level.ac else level.effective
    if abs(read - wanted) <= tolerance:
        return None
    turned = "the other way round" if signed and abs(read + wanted) <= tolerance else ""
    return Miss(level_text(level, unit), turned)


def short_text(run: Run) -> str:
    """The last short circuit in words."""
    short = run.shorts[-1]
    names = [name for name in short.path if name in run.circuit.elements]
    fuse = f"; {short.fuse.partition('.')[0]} opens it" if short.surely_clears else "; nothing opens it"
    through = f" through {listed(names)}" if names else ""
    return f"{short.source.partition('.')[0]} is shorted{through}{fuse}"
