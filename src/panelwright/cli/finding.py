"""Commands at the panel with a meter: readings, find, practise."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from .. import api
from ..circuit import Circuit
from .answering import Answer, Code, CouldNot, files_argument, json_option
from .group import PDF, main, over, target, write
from .papers import Paper

if TYPE_CHECKING:
    from ..finding import Search


def meter_option(command: Any) -> Any:
    """`--meter`, worded once."""
    words = "Which meter: digital, low-impedance, moving-coil, test-lamp, two-pole, buzzer."
    return click.option("--meter", default="digital", show_default=True, help=words)(command)


@main.command()
@files_argument
@click.option(
    "--state",
    "states",
    multiple=True,
    metavar="WORDS",
    help='In which situation, as in "S2 held", "running, F2 tripped", "power off". May be given again.',
)
@click.option("--between", nargs=2, metavar="A B", help="Only between these two places, as in K1.13 G1.-")
@click.option("--lifted", metavar="TERMINAL", help="With the leads off this terminal.")
@click.option("--faulty/--no-faulty", default=True, help="Also what a fault would make of each reading.")
@meter_option
@json_option
def readings(files: tuple[str, ...], states: tuple[str, ...], between: tuple[str, str] | None, lifted: str | None,
             faulty: bool, meter: str, as_json: bool) -> None:  # fmt: skip
    """What a meter should read, rung by rung or between two places."""

    def answer(paper: Paper, circuit: Circuit) -> Answer:
        try:
            table = api.readings(circuit, states, between=between, meter=meter, lifted=lifted or "", faulty=faulty)
        except ValueError as reason:
            raise CouldNot(f"{paper.name}: {reason}") from reason
        return Answer(Code.FINE, table.text, {"file": paper.name, **table.values})

    over(files, as_json, "Working out", answer)


@main.command()
@files_argument
@click.option("--seen", multiple=True, metavar="WORDS", help='What is wrong, as in "K1 runs only while S2 is held".')
@click.option("--reading", "read", multiple=True, metavar="WORDS",
              help='What was read, as in "K1.13 to G1.-: 0 V @ S2 held".')  # fmt: skip
@click.option("--changed", multiple=True, metavar="WORDS",
              help='What changed before it failed, as in "K1 was replaced", "it was wet".')  # fmt: skip
@click.option("--new", is_flag=True, help="The panel was just wired or altered; else it worked before.")
@click.option("--cold", is_flag=True, help="Propose only what can be read with the power off.")
@click.option("--tree", "depth", type=click.IntRange(1, 8), metavar="DEPTH",
              help="All that may come, so many tests deep, to take along on paper.")  # fmt: skip
@click.option("--out", "-o", metavar="PATH", help="With --tree: PDF file or folder to write to, to be printed.")
@click.option("--paper", type=click.Choice(["A4", "letter"]), default="A4", show_default=True, help="Paper of the PDF.")
@click.option("--notes", type=click.Path(dir_okay=False), metavar="FILE",
              help="Go on from the notes in this file, and write there what is known.")  # fmt: skip
@meter_option
@json_option
def find(files: tuple[str, ...], as_json: bool, depth: int | None, out: str | None, **asked: Any) -> None:
    """Find the fault from what is seen and read. Without --seen and --reading it asks."""
    ask = not asked["seen"] and not asked["read"] and not as_json and depth is None
    if out is not None and depth is None:
        raise CouldNot("--out writes a tree: say with --tree how many tests deep.")

    def answer(paper: Paper, circuit: Circuit) -> Answer:
        search, told = _search(paper, circuit, asked)
        if ask:
            from .asking import Dialogue

            search = Dialogue(search, sys.stdin, lambda now: _write_notes(now, asked["notes"])).run()
        if asked["notes"]:
            told = (*told, _write_notes(search, asked["notes"]))
        code = Code.FOUND if search.ranking.best and search.evidence else Code.FINE
        if depth is not None:
            return _tree_answer(paper, search, depth, out, asked["paper"], told)
        from ..finding import search_text, search_values

        text = "\n".join(("" if ask else search_text(search), *told)).strip("\n")
        return Answer(code, text, {"file": paper.name, **(search_values(search) if as_json else {})})

    over(files, as_json, "Looking for causes in", answer)


def _search(paper: Paper, circuit: Circuit, asked: dict[str, Any]) -> tuple[Search, tuple[str, ...]]:
    """What is known from notes and options, and what to mind. Raises: CouldNot."""
    from ..finding import read_notes

    told: tuple[str, ...] = ()
    try:
        if asked["notes"] and Path(asked["notes"]).exists():
            search, told = read_notes(circuit, Path(asked["notes"]).read_text(encoding="utf-8"))
            search = search.but(new=asked["new"] or None, live=False if asked["cold"] else None)
        else:
            search = api.find(circuit, new=asked["new"], meter=asked["meter"], live=not asked["cold"])
        for words in asked["changed"]:
            search = search.changed(words)
        for words in asked["seen"]:
            search = search.see(words)
        for words in asked["read"]:
            search = search.read(words)
    except (ValueError, OSError) as reason:
        raise CouldNot(f"{paper.name}: {reason}") from reason
    return search, tuple(f"Mind: {words}." for words in told)


def _write_notes(search: Search, path: str | None) -> str:
    from ..finding import notes_text

    if not path:
        return ""
    try:
        Path(path).write_text(notes_text(search), encoding="utf-8")
    except OSError as reason:
        raise CouldNot(f"{path}: {reason}") from reason
    return f"Written down in {path}."


def _tree_answer(file: Paper, search: Search, depth: int, out: str | None, paper: str, told: tuple[str, ...]) -> Answer:
    from ..finding import search_values, tree_text, tree_values

    try:
        tree = api.find_tree(search, depth)
    except ValueError as reason:
        raise CouldNot(f"{file.name}: {reason}") from reason
    values = {"file": file.name, **search_values(search), "tree": tree_values(tree)}
    if out is None:
        return Answer(Code.FOUND, "\n".join((tree_text(tree), *told)), values)
    pages = api.find_tree_pages(tree, paper=paper, from_file=Path(file.name).name)
    place = target(file, out, f"-find{PDF}")
    write(place, api.pdf(pages))
    text = f"{file.name}: {len(pages)} page{'s' * (len(pages) != 1)} in {place}"
    return Answer(Code.FOUND, "\n".join((text, *told)), values | {"pages": len(pages), "pdf": str(place)})


@main.command()
@files_argument
@click.option("--tasks", type=click.IntRange(1, 30), default=3, show_default=True, help="How many tasks on the sheet.")
@click.option("--seed", type=int, default=1, show_default=True, help="The same seed gives the same tasks.")
@click.option(
    "--difficulty", type=click.Choice(["easy", "middle", "hard"]), help="By how many causes explain what is seen."
)
@click.option("--answers", is_flag=True, help="The answer sheet instead.")
@click.option("--out", "-o", metavar="PATH", help="PDF file or folder to write to, to be printed.")
@click.option("--paper", type=click.Choice(["A4", "letter"]), default="A4", show_default=True, help="Paper of the PDF.")
@json_option
def practise(files: tuple[str, ...], tasks: int, seed: int, difficulty: Any, answers: bool, out: str | None,
             paper: str, as_json: bool) -> None:  # fmt: skip
    """A worksheet of hidden faults for a class, or its answers."""

    def answer(file: Paper, circuit: Circuit) -> Answer:
        from ..finding.practice import task_values, worksheet

        try:
            hidden = api.practice_tasks(circuit, tasks, seed=seed, difficulty=difficulty)
        except ValueError as reason:
            raise CouldNot(f"{file.name}: {reason}") from reason
        text = worksheet(hidden, seed, answers).rstrip("\n")
        if len(hidden) < tasks:
            text += f"\n\nOnly {len(hidden)} of {tasks}: no more faults of this kind show themselves."
        values: dict[str, Any] = {
            "file": file.name, "seed": seed, "tasks": [task_values(task, answers) for task in hidden],
        }  # fmt: skip
        if out is None:
            return Answer(Code.FINE, text, values)
        name = Path(file.name).name
        pages = api.practice_pages(hidden, seed=seed, answers=answers, paper=paper, from_file=name)
        place = target(file, out, f"{'-answers' if answers else '-practice'}{PDF}")
        write(place, api.pdf(pages))
        told = f"{file.name}: {len(pages)} page{'s' * (len(pages) != 1)} in {place}"
        return Answer(Code.FINE, told, values | {"pages": len(pages), "pdf": str(place)})

    over(files, as_json, "Hiding faults in", answer)
