"""A problem as somebody reads it, word for word."""

from __future__ import annotations

from panelwright.circuit import Problem, Span
from panelwright.telling import counted, in_file_order, told_problem

NO_DEVICE = Problem(
    "PW203",
    "no device called K2",
    "a rung may use only devices declared in the file, otherwise nothing can be wired.",
    'write K1.coil (nearest name), or declare K2 under "devices on plate".',
    Span(2, 29, 7),
    also=(("devices on plate", Span(1, 1, 7)),),
)
LINES = ["devices on plate", "  S1.nc  ( S2.no | K1.no )  K2.coil"]


def test_a_problem_says_what_where_why_and_how_to_mend() -> None:
    """The form that the whole product keeps to."""
    told = "\n".join(told_problem(NO_DEVICE, "pump.panel", LINES))

    assert told == (
        "pump.panel:2:29: PW203 no device called K2\n"
        "  |\n"
        "2 |   S1.nc  ( S2.no | K1.no )  K2.coil\n"
        "  |                             ^^^^^^^\n"
        "why:  a rung may use only devices declared in the file, otherwise nothing can be wired.\n"
        'mend: write K1.coil (nearest name), or declare K2 under "devices on plate".\n'
        "also: pump.panel:1:1 devices on plate\n"
        "more: panelwright explain PW203"
    )


def test_carets_stand_under_the_place_after_tabs() -> None:
    """Tabs are shown as blanks and the carets move with them."""
    problem = Problem("PW1", "what", "", "", Span(1, 2, 2))

    told = list(told_problem(problem, "x", ["\tK9 rest"]))

    assert told[2:4] == ["1 |         K9 rest", "  |         ^^"]


def test_a_place_past_the_end_of_the_text_does_no_harm() -> None:
    """What is missing at the end of a file is reported there."""
    problem = Problem("PW1", "what", "why", "mend", Span(9, 1))

    assert "x:9:1: PW1 what" == next(told_problem(problem, "x", ["one line"]))


def test_problems_come_in_file_order() -> None:
    """Top to bottom, then those about the whole file."""
    late, early, whole = (Problem(c, c, "", "", s) for c, s in (("a", Span(9, 1)), ("b", Span(2, 5)), ("c", None)))

    assert [early, late, whole] == in_file_order([whole, late, early])


def test_the_count_tells_mistakes_from_warnings() -> None:
    """A file with warnings only has no mistakes."""
    warning = Problem("PW2", "", "", "", severity="warning")

    assert "no mistakes in x" == counted([], "x")
    assert "1 mistake in x" == counted([NO_DEVICE], "x")
    assert "no mistakes and 2 warnings in x" == counted([warning, warning], "x")
    assert "1 mistake and 1 warning in x" == counted([warning, NO_DEVICE], "x")
