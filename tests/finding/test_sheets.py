"""Test sheets: what they show, how few lines they need, and that they can be printed."""

from __future__ import annotations

from functools import cache
from itertools import combinations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from panelwright import api
from panelwright.behaviour import Run
from panelwright.circuit import Fault, Is
from panelwright.electrics import Network
from panelwright.finding import Sheet, SheetLine, causes_of, cold_sheet, judge, live_sheet
from panelwright.finding.cold_bench import ColdBench
from panelwright.finding.cold_sheet import wiring_mistakes
from panelwright.finding.covering import fewest
from panelwright.finding.live_steps import Eyes
from panelwright.finding.situations import play, waiting_s
from panelwright.sheets.pack import sheets_of
from panelwright.wiring import Wiring

DEMO = ["well-pump", "grader-conveyor", "cold-store-fan", "lift-station"]


@cache
def panel(name: str) -> Wiring:
    """A demo panel, wired."""
    return api.wire(api.read_file(api.ready_circuits() / "orchard" / f"{name}.panel").circuit)


@cache
def sheet(name: str, kind: str) -> Sheet:
    """One of its sheets."""
    return cold_sheet(panel(name)) if kind == "cold" else live_sheet(panel(name))


def part(of: Sheet, title: str) -> tuple[SheetLine, ...]:
    """The lines under a title."""
    return next(part.lines for part in of.parts if part.title == title)


@settings(max_examples=60, deadline=None, derandomize=True)
@given(st.dictionaries(st.integers(0, 6), st.frozensets(st.sampled_from("abcdef")), max_size=7))
def test_no_choice_with_fewer_covers_as_much(offered: dict[int, frozenset[str]]) -> None:
    """Against trying every choice."""
    whole = frozenset().union(*offered.values())
    sizes = [
        size
        for size in range(len(offered) + 1)
        for choice in combinations(offered, size)
        if frozenset().union(*(offered[one] for one in choice)) == whole
    ]
    cover = fewest(offered)

    assert frozenset().union(*(offered[one] for one in cover.chosen)) == whole
    assert min(sizes) == len(cover.chosen) == cover.at_least


@pytest.mark.parametrize("name", DEMO)
def test_every_single_wiring_mistake_shows_or_is_named(name: str) -> None:
    """By a reading, by a line to look at, or as one that changes nothing; none is passed over."""
    wiring, bench = panel(name), ColdBench(panel(name))
    lines = [line for line in sheet(name, "cold").lines if line.kind == "ohms"]
    looked_at = " ".join(line.do for line in sheet(name, "cold").lines if line.do.startswith("No meter"))
    for cause in wiring_mistakes(wiring):
        shows = any(
            bench.tells(cause, at, line.a, line.b) for line in lines if (at := bench.at(line.situation)) is not None
        )
        if not shows and bench.can_be_put_in(cause):
            across = {end.partition(".")[0] for end in cause.ends}
            assert cause.kind == "ends-exchanged" or all(tag in looked_at for tag in across or cause.tags), cause.words


def test_a_bridged_fuse_shows_in_the_cold_test() -> None:
    """Both leads under one screw of the holder: with the fuse in it beeps as it should, so it is read with it out."""
    wiring = panel("grader-conveyor")
    bench = ColdBench(wiring)
    cause = next(c for c in causes_of(wiring) if c.words == "the leads for 3FU.1 are landed on 3FU.2")
    lines = [line for line in sheet("grader-conveyor", "cold").lines if line.kind == "ohms"]
    tells = [line for line in lines if bench.tells(cause, bench.at(line.situation) or bench.base, line.a, line.b)]

    assert not bench.tells(cause, bench.everything_in, "T1.X1", "3FU.1")
    assert tells


@pytest.mark.parametrize("name", DEMO)
def test_the_words_and_the_situation_of_a_cold_line_agree(name: str) -> None:
    """What a line says is held is what its expected ohms were worked out with."""
    bench = ColdBench(panel(name))
    for line in sheet(name, "cold").lines:
        at = bench.at(line.situation)
        if line.kind == "ohms" and at is not None and at.held and at is not bench.everything_in:
            assert at.held in line.do, line.do


@pytest.mark.parametrize("name", [*DEMO[:-1], pytest.param(DEMO[-1], marks=pytest.mark.long)])
def test_a_stuck_contact_shows_in_the_function_test(name: str) -> None:
    """Each wired control contact welded or never closing, played through the lines: some line looks otherwise."""
    wiring = panel(name)
    looks = part(sheet(name, "live"), "Function")
    contacts = Eyes(network(name)).contacts
    for cause in causes_of(wiring):
        if cause.kind in ("contact-welded", "contact-open") and cause.faults[0].subject in contacts:
            assert _differs(wiring, looks, cause.faults[0]), cause.words


def network(name: str) -> Network:
    """The network of a panel."""

    return Network(panel(name))


def _differs(wiring: Wiring, looks: tuple[SheetLine, ...], fault: Fault) -> bool:
    """Whether some line of the sheet would be failed with a fault in the panel."""
    wait_s = waiting_s(wiring.circuit)
    for line in looks:
        assert line.situation is not None
        run = Run(wiring)
        assert run.put_in(fault) is None
        run = play(run, line.situation.steps, wait_s)
        if not all(run.state.seen(Is(one.subject, one.state, one.value))[0] for one in line.seen):
            return True
    return False


@pytest.mark.parametrize("name", DEMO)
def test_every_control_contact_is_seen_both_ways(name: str) -> None:
    """Closed and open, in a moment when that matters; no line of the coverage says otherwise."""
    covers = sheet(name, "live").covers

    assert not any("never seen" in words for words in covers)


def test_motors_get_power_after_the_control_is_proved() -> None:
    """Their fuses and breakers stay out until then, and no motor runs in the function test."""
    live = sheet("lift-station", "live")
    titles = [part.title for part in live.parts]

    assert titles.index("Function") < titles.index("Power for the motors")
    assert not any("running" in line.expect for line in part(live, "Function"))
    assert {"F11", "F12"} <= {line.a.partition(".")[0] for line in part(live, "Power for the motors")}


def test_a_failed_volt_of_the_power_up_goes_to_the_search() -> None:
    """No volts behind the control fuse, all before it as it should be: the fuse comes first."""
    wiring, live = panel("grader-conveyor"), sheet("grader-conveyor", "live")
    at = next(n for n, line in enumerate(live.lines, 1) if line.do.startswith("3FU in"))
    found = judge(wiring, live, dict.fromkeys(range(2, at), "ok") | {at: "0 V"})

    assert found.search is not None
    assert any("3FU" in one.cause.tags for one in found.search.groups[0].members)


@pytest.mark.parametrize("name", DEMO)
def test_the_pack_holds_both_tests(name: str) -> None:
    """Each line number once, cautions on the first page of each, room to sign on the last."""
    pages = [page for page in sheets_of(panel(name), paper="A4") if "test" in page.title]
    for kind in ("cold", "live"):
        own = [page.svg("print") for page in pages if kind in page.title.lower()]
        whole = " ".join(own)

        assert all(f">{number}</text>" in whole for number in range(1, len(sheet(name, kind).lines) + 1))
        assert "licensed person" in own[0]
        assert "Signed" in own[-1]
