"""A text that changed is worked out with as little as the change asks for."""

from __future__ import annotations

from pathlib import Path

import pytest

from panelwright.bench.course import Course
from panelwright.bench.working import Worked, work_out

from .conftest import ORCHARD

PANELS = sorted(ORCHARD.parent.rglob("*.panel"))


@pytest.mark.parametrize("panel", PANELS, ids=lambda path: path.stem)
def test_words_alone_change_no_wire(panel: Path) -> None:
    """Another title, another remark, another promise: the same network, the new words."""
    text = panel.read_text(encoding="utf-8")
    before = work_out(text, "panel")
    after = work_out(text.replace('"\n', ' anew"\n', 1) + '\nnotes\n  note "one more"\n', "panel", before=before)

    assert before.wiring is not None
    assert after.wiring is not None
    assert after.network is before.network
    assert "anew" in after.wiring.circuit.heading.title
    assert after.wiring.circuit.rungs == work_out(after.text, "panel").wiring.circuit.rungs  # type: ignore[union-attr]


def well_pump(*changes: tuple[str, str]) -> Worked:
    """The well pump with some text replaced."""
    text = (ORCHARD / "well-pump.panel").read_text(encoding="utf-8")
    for old, new in changes:
        assert old in text
        text = text.replace(old, new)
    return work_out(text, "well-pump")


def test_a_changed_circuit_is_put_through_what_was_done() -> None:
    """Start pressed and released; without its hold-in contact the relay would not have stayed in."""
    course = Course(well_pump())
    course.do("press", ("S2",))
    course.do("release", ("S2",))
    held = course.facts["device:K1"][0]
    changed = course.on(well_pump(("S2.no | K1.no1", "S2.no | S2.no2"), ("green  1 NO", "green  2 NO")))

    assert held == "in"
    assert changed.facts["device:K1"][0] == "out"
    assert [line[1] for line in changed.story] == [line[1] for line in course.story]


def test_a_device_that_went_is_left_out_of_what_is_done_again() -> None:
    """Nothing stumbles over a button that is no longer there."""
    course = Course(well_pump())
    course.do("press", ("S1",))
    changed = course.on(work_out('panel "Empty"\n', "empty"))

    assert changed.facts == {} or "device:S1" not in changed.facts
    assert changed.do("press", ("S1",)) != ""
