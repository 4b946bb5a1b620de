"""The commands. Each reads files, makes one library call, prints and chooses the exit code."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path

import click

from .. import api
from ..telling.problems import problem_values, told_problems
from .answering import Answer, Code, CouldNot, PlainGroup, files_argument, give, json_option, patience
from .papers import Paper, papers

Finder = Callable[[Paper], Answer]


@click.group(
    cls=PlainGroup,
    context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100},
    epilog="Exit codes: 0 fine, 1 found something, 2 could not do it, 3 not decided.",
)
@click.version_option(package_name="panelwright", message="Panelwright %(version)s")
def main() -> None:
    """Relay control circuits, written down once in a panel file and worked out from there.

    Start with: panelwright demo
    """


@main.command()
@files_argument
@json_option
def check(files: tuple[str, ...], as_json: bool) -> None:
    """Find the mistakes on the drawing board: in the text, then in the circuit it describes."""
    give((_checked(paper) for paper in papers(files)), as_json)


def _checked(paper: Paper) -> Answer:
    reading = api.read(paper.text, paper.name)
    problems = list(reading.problems)
    if not any(problem.severity == "mistake" for problem in problems):
        with patience(f"Checking {paper.name}"):
            problems += api.check(reading.circuit)
    found = any(problem.severity == "mistake" for problem in problems)
    text = told_problems(problems, paper.name, paper.text)
    values = {"file": paper.name, "problems": [problem_values(one) for one in problems]}
    return Answer(Code.FOUND if found else Code.FINE, text, values)
