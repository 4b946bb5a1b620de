"""The program itself, and what its commands share."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import click

from .. import api
from ..circuit import Circuit
from ..telling import problem_values, told_problems
from .answering import Answer, Code, CouldNot, PlainGroup, Total, give, patience
from .papers import Paper, papers

PDF = ".pdf"


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


def over(
    files: tuple[str, ...],
    as_json: bool,
    doing: str,
    answer: Callable[[Paper, Circuit], Answer],
    total: Total | None = None,
) -> None:
    """Give one answer for each file that has no mistake in its text; say of the others what is wrong there."""

    def one(paper: Paper) -> Answer:
        reading = api.read(paper.octets, paper.name)
        if not reading.ok:
            problems = [problem_values(problem) for problem in reading.problems]
            text = told_problems(reading.problems, paper.name, paper.text)
            text += "\nNothing was worked out; mend the text first."
            return Answer(Code.COULD_NOT, text, {"file": paper.name, "problems": problems})
        if not reading.circuit.devices:
            text = f"{paper.name}: there is no device in it yet. panelwright new lists circuits to begin with."
            return Answer(Code.COULD_NOT, text, {"file": paper.name, "problems": []})
        with patience(f"{doing} {paper.name}"):
            return answer(paper, reading.circuit)

    give((one(paper) for paper in papers(files)), as_json, total)


def target(paper: Paper, out: str | None, suffix: str) -> Path:
    """Where a result goes: --out as a file, or the file's own name in a folder (the one you are in by default).

    Raises: CouldNot where the result of another panel file of this call lies already.
    """
    one_file = out and Path(out).suffix in (Path(f"x{suffix}").suffix, PDF) and not Path(out).is_dir()
    place = Path(out) if out and one_file else Path(out or ".") / (Path(paper.name).stem + suffix)
    taken: dict[Path, str] = click.get_current_context().meta.setdefault(f"{__name__}.taken", {})
    first = taken.setdefault(place, paper.name)
    if first != paper.name:
        mend = (
            "name a folder instead of a file" if one_file else "ask for them one by one, each with a folder of its own"
        )
        raise CouldNot(f"{place} holds what belongs to {first} already; nothing was written over: {mend}.")
    return place


def write(path: Path, content: str | bytes) -> None:
    """Write a result whole or not at all. Raises: CouldNot."""
    from ..bench.files import CannotWrite, write_atomically

    try:
        write_atomically(path, content)
    except CannotWrite as reason:
        raise CouldNot(f"{path} could not be written: {reason.reason}.") from reason
