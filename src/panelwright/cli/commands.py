"""The commands. Each reads files, makes one library call, prints and chooses the exit code."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import click

from .. import api
from ..circuit import Circuit
from ..telling import problem_values, told_problems
from .answering import Answer, Code, CouldNot, PlainGroup, files_argument, give, json_option, patience
from .papers import Paper, papers


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
    reading = api.read(paper.octets, paper.name)
    problems = list(reading.problems)
    if reading.ok:
        with patience(f"Checking {paper.name}"):
            problems += api.check(reading.circuit)
    found = any(problem.severity == "mistake" for problem in problems)
    text = told_problems(problems, paper.name, paper.text)
    values = {"file": paper.name, "problems": [problem_values(one) for one in problems]}
    return Answer(Code.FOUND if found else Code.FINE, text, values)


def _circuit_of(paper: Paper) -> Circuit:
    """The circuit of a file that has no mistake in its text. Raises: CouldNot with the problems."""
    reading = api.read(paper.octets, paper.name)
    if not reading.ok:
        raise CouldNot(
            told_problems(reading.problems, paper.name, paper.text)
            + "\nNothing was worked out; mend the text first."
        )
    return reading.circuit


def _over(files: tuple[str, ...], as_json: bool, doing: str, answer: Callable[[Paper, Circuit], Answer]) -> None:
    """Give one answer for each file that can be read; say of the others why not."""

    def one(paper: Paper) -> Answer:
        try:
            circuit = _circuit_of(paper)
        except CouldNot as reason:
            problems = [problem_values(one) for one in api.read(paper.octets).problems]
            return Answer(Code.COULD_NOT, reason.message, {"file": paper.name, "problems": problems})
        with patience(f"{doing} {paper.name}"):
            return answer(paper, circuit)

    give((one(paper) for paper in papers(files)), as_json)


@main.command()
@files_argument
@json_option
def wire(files: tuple[str, ...], as_json: bool) -> None:
    """Allot contacts, number the wires, and list them in the order of work."""
    _over(files, as_json, "Wiring", _wired)


def _wired(paper: Paper, circuit: Circuit) -> Answer:
    from ..wiring import as_json as values_of
    from ..wiring import report

    wiring = api.wire(circuit)
    code = Code.FOUND if wiring.shortages else Code.FINE
    return Answer(code, report(wiring), {"file": paper.name, **values_of(wiring)})


@main.command()
@files_argument
@click.option("--out", "-o", metavar="PATH", help="File or folder to write to; - prints the drawing.")
@click.option("--symbols", type=click.Choice(["IEC", "NA"]), help="Symbols; by default what the file says.")
@click.option("--upright", is_flag=True, help="Current paths from top to bottom instead of level rungs.")
@click.option("--theme", type=click.Choice(["light", "dark", "print"]), default="light", help="Colours.")
@json_option
def draw(
    files: tuple[str, ...], out: str | None, symbols: str | None, upright: bool, theme: str, as_json: bool
) -> None:
    """Draw the control circuit as SVG, beside you or where --out says."""

    def drawn(paper: Paper, circuit: Circuit) -> Answer:
        svg = api.draw(circuit, symbols=symbols, upright=upright, theme=theme)
        if out == "-":
            return Answer(Code.FINE, svg, {"file": paper.name, "svg": svg})
        from ..bench.files import write_atomically

        target = _target(paper, out, ".svg")
        write_atomically(target, svg)
        return Answer(Code.FINE, f"{paper.name}: drawn to {target}", {"file": paper.name, "drawing": str(target)})

    _over(files, as_json, "Drawing", drawn)


def _target(paper: Paper, out: str | None, suffix: str) -> Path:
    """Where a result goes: --out as a file, or the file's own name in a folder (this one by default)."""
    if out and Path(out).suffix == suffix and not Path(out).is_dir():
        return Path(out)
    return Path(out or ".") / (Path(paper.name).stem + suffix)


@main.command()
@click.argument("paths", metavar="[FILE|FOLDER]...", nargs=-1)
@click.option("--port", type=click.IntRange(1, 65535), help="Port of the page; by default the first free one.")
@click.option("--no-browser", is_flag=True, help="Say the address, and open nothing.")
def bench(paths: tuple[str, ...], port: int | None, no_browser: bool) -> None:
    """Open panels on the bench, a page in your browser: press, watch, change, build along."""
    _serve(paths or (".",), port, no_browser)


@main.command()
@click.option("--port", type=click.IntRange(1, 65535), help="Port of the page; by default the first free one.")
@click.option("--no-browser", is_flag=True, help="Say the address, and open nothing.")
def demo(port: int | None, no_browser: bool) -> None:
    """Open the bench on the panels of the (invented) Brackwater orchard co-operative."""
    _serve((str(_own_copy()),), port, no_browser)


def _serve(paths: tuple[str, ...], port: int | None, no_browser: bool) -> None:
    try:
        api.open_bench(paths, port=port, open_browser=not no_browser)
    except (OSError, ValueError) as reason:
        raise CouldNot(str(reason)) from reason


def _own_copy() -> Path:
    """The demo panels in a folder of the user's own, so that changing them spoils nothing."""
    import shutil

    from platformdirs import user_data_path

    target = user_data_path("panelwright") / "orchard"
    for source in sorted((api.ready_circuits() / "orchard").glob("*.panel")):
        if not (target / source.name).exists():
            target.mkdir(parents=True, exist_ok=True)
            shutil.copyfile(source, target / source.name)
    return target
