"""Steps of a trial as they would be typed."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from ..circuit import AllOf, Condition, Do, Expect, Inject, Is, Mend, Not, Step, Trial
from .injection import fault_words

_WORDS = {"tap": "press and release", "push-in": "push in"}
WIDTH = 100


def typed(step: Step) -> str:
    """One step ("press S1 & press S2", "fault K1.coil open", "expect K1 out")."""
    if isinstance(step, Do):
        return " & ".join(_act(one) for one in (step, *step.also))
    if isinstance(step, Inject):
        return f"fault {fault_words(step.fault)}"
    if isinstance(step, Mend):
        return f"mend {step.subject}".rstrip()
    return f"expect {step.text or expected(step)}"


def _act(do: Do) -> str:
    names = " and ".join(do.targets)
    lasts = f" for {seconds_text(do.seconds)}" if do.seconds is not None else ""
    if do.verb == "wait":
        return f"wait {seconds_text(do.seconds or 0.0)}"
    if do.verb.startswith("power"):
        return do.verb.replace("-", " ") + (f" at {names}" if names else "") + lasts
    if do.verb == "turn":
        return f"turn {names} to {do.value}"
    return f"{_WORDS.get(do.verb, do.verb.replace('-', ' '))} {names}{lasts}"


def seconds_text(seconds: float) -> str:
    """A time as a panel file says it."""
    return f"{seconds * 1000:g} ms" if 0 < seconds < 1 else f"{seconds:g} s"


def expected(expect: Expect) -> str:
    """An expectation as it would be written, without the word expect."""
    within = f" within {expect.within:g} s" if expect.within is not None else ""
    if expect.state is not None:
        stays = "stays" if expect.form == "stays" else ""
        lasts = f"for {expect.seconds:g} s" if stays else ""
        words = (expect.state.subject, stays, expect.state.state, expect.state.value, lasts)
        return " ".join(word for word in words if word) + within
    if expect.condition is not None:
        return f"never {condition_text(expect.condition)}"
    if expect.form in ("volts", "amps"):
        return _reading(expect) + within
    return " ".join(word for word in (expect.subject, expect.form) if word) + within


def condition_text(condition: Condition) -> str:
    """A condition as a panel file says it."""
    if isinstance(condition, Is):
        return " ".join(word for word in (condition.subject, condition.state, condition.value) if word)
    if isinstance(condition, Not):
        return f"not {condition_text(condition.part)}"
    joint = " and " if isinstance(condition, AllOf) else " or "
    return joint.join(
        f"({condition_text(part)})" if _is_mixed(part) else condition_text(part) for part in condition.parts
    )


def _is_mixed(part: Condition) -> bool:
    return not isinstance(part, Is | Not)


def _reading(expect: Expect) -> str:
    value = expect.value or 0.0
    if expect.form == "amps":
        amount = f"{value * 1000:g} mA" if value < 1 else f"{value:g} A"
        return f"{amount} in {expect.subject}"
    where = f"from {expect.subject} to {expect.other}" if expect.other else f"across {expect.subject}"
    spread = f" +- {expect.tolerance:g} V" if expect.tolerance is not None else ""
    return f"{value:g} V{spread} {where}"


def typed_trial(trial: Trial) -> str:
    """A trial as it stands in a panel file."""
    name = trial.name.replace('"', "'")
    return "\n".join([f'trial "{name}"', *(f"  {row}" for row in _rows(trial.steps))])


def _rows(steps: Iterable[Step]) -> Iterator[str]:
    """Several steps a row; a new row after what is expected."""
    row: list[str] = []
    for step in steps:
        words = typed(step)
        if row and (len("; ".join([*row, words])) > WIDTH or (row[-1].startswith("expect") and words[:6] != "expect")):
            yield "; ".join(row)
            row = []
        row.append(words)
    if row:
        yield "; ".join(row)


__all__ = ["expected", "seconds_text", "typed", "typed_trial"]
