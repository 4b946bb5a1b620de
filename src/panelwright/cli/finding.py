"""Commands at the panel with a meter: readings, find, practise."""

from __future__ import annotations

import sys
from typing import Any

import click

from .. import api
from ..circuit import Circuit
from .answering import Answer, Code, CouldNot, files_argument, json_option
from .group import main, over
from .papers import Paper


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
@meter_option
@json_option
def find(files: tuple[str, ...], seen: tuple[str, ...], read: tuple[str, ...], changed: tuple[str, ...], new: bool,
         cold: bool, meter: str, as_json: bool) -> None:  # fmt: skip
    """Find the fault from what is seen and read. Without --seen and --reading it asks."""
    ask = not seen and not read and not as_json

    def answer(paper: Paper, circuit: Circuit) -> Answer:
        try:
            search = api.find(circuit, seen, read, changed=changed, new=new, meter=meter, live=not cold)
        except ValueError as reason:
            raise CouldNot(f"{paper.name}: {reason}") from reason
        if ask:
            from .asking import Dialogue

            search = Dialogue(search, sys.stdin).run()
        from ..finding import search_text, search_values

        code = Code.FOUND if search.ranking.best and search.evidence else Code.FINE
        text = "" if ask else search_text(search)
        return Answer(code, text, {"file": paper.name, **(search_values(search) if as_json else {})})

    over(files, as_json, "Looking for causes in", answer)


@main.command()
@files_argument
@click.option("--tasks", type=int, default=3, show_default=True, help="How many tasks on the sheet.")
@click.option("--seed", type=int, default=1, show_default=True, help="The same seed gives the same tasks.")
@click.option(
    "--difficulty", type=click.Choice(["easy", "middle", "hard"]), help="By how many causes explain what is seen."
)
@click.option("--answers", is_flag=True, help="The answer sheet instead.")
@json_option
def practise(files: tuple[str, ...], tasks: int, seed: int, difficulty: Any, answers: bool, as_json: bool) -> None:
    """A worksheet of hidden faults for a class, or its answers."""

    def answer(paper: Paper, circuit: Circuit) -> Answer:
        try:
            text = api.practice_sheet(circuit, tasks, seed=seed, difficulty=difficulty, answers=answers)
        except ValueError as reason:
            raise CouldNot(f"{paper.name}: {reason}") from reason
        return Answer(Code.FINE, text, {"file": paper.name, "sheet": text})

    over(files, as_json, "Hiding faults in", answer)
