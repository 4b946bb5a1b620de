"""Commands for the drawing board: new, check, explain, tidy."""

from __future__ import annotations

import difflib
import shutil
from collections import Counter
from pathlib import Path
from typing import Any

import click

from .. import api
from ..circuit import Circuit
from ..telling import plain, problem_values, told_problems
from .answering import Answer, Code, CouldNot, files_argument, give, json_option, patience
from .group import main, write
from .papers import Paper, papers


@main.command()
@click.argument("name", required=False)
@click.argument("target", metavar="[FILE]", required=False)
def new(name: str | None, target: str | None) -> None:
    """Start from a ready circuit.

    Without NAME lists them; with NAME copies that one to FILE, or beside you under its own name.
    """
    ready = {path.stem: path for path in sorted(api.ready_circuits().rglob("*.panel"))}
    if name is None:
        for stem, path in ready.items():
            click.echo(f"  {stem:32} {api.read_file(path).circuit.heading.title}")
        click.echo("\nTake one with: panelwright new NAME")
        return
    path = _ready_circuit(name, ready)
    copy = Path(target or path.name)
    if copy.exists():
        raise CouldNot(f"{copy} is there already; give another name: panelwright new {path.stem} FILE")
    shutil.copyfile(path, copy)
    click.echo(f"{copy} written. Next: panelwright bench {copy}")


def _ready_circuit(name: str, ready: dict[str, Path]) -> Path:
    """By name, or by its number ("c12")."""
    wanted = Path(name).stem
    numbered = [path for stem, path in ready.items() if stem.partition("-")[0] == wanted]
    if wanted in ready or numbered:
        return ready.get(wanted) or numbered[0]
    near = difflib.get_close_matches(wanted, ready, 3, 0.4)
    hint = f" Did you mean {' or '.join(near)}?" if near else ""
    raise CouldNot(f"there is no ready circuit {name}.{hint} List them with: panelwright new")


@main.command()
@files_argument
@json_option
def check(files: tuple[str, ...], as_json: bool) -> None:
    """Find the mistakes, in text and circuit."""
    give((_checked(paper) for paper in papers(files)), as_json, _in_all)


def _in_all(values: list[dict[str, Any]]) -> str:
    found = Counter(problem["severity"] for one in values for problem in one["problems"])
    names = {"mistake": "mistake", "warning": "warning", "told": "note"}
    return ", ".join(f"{found[severity]} {name}{'s' * (found[severity] != 1)}" for severity, name in names.items())


def _checked(paper: Paper) -> Answer:
    reading = api.read(paper.octets, paper.name)
    problems = list(reading.problems)
    if reading.ok:
        with patience(f"Checking {paper.name}"):
            problems += api.check(reading.circuit)
    found = any(problem.severity == "mistake" for problem in problems)
    text = told_problems(problems, paper.name, paper.text, _looked_at(reading.circuit))
    values = {"file": paper.name, "problems": [problem_values(one) for one in problems]}
    return Answer(Code.FOUND if found else Code.FINE, text, values)


def _looked_at(circuit: Circuit) -> str:
    """How much that was, so that an empty file does not pass for a sound one."""
    rungs, paths = len(circuit.rungs), len(circuit.power_paths)
    if not rungs and not paths:
        if not circuit.devices:
            return "; there is nothing in it yet (panelwright new lists circuits to begin with)"
        return "; there are no rungs in it yet"
    lines = f"{rungs} rung{'s' * (rungs != 1)}"
    return f"; {lines} and {paths} power path{'s' * (paths != 1)} read" if paths else f"; {lines} read"


@main.command()
@click.argument("code", required=False)
def explain(code: str | None) -> None:
    """Explain one mistake, with wrong and right.

    CODE stands in each problem, such as PW102; without one all are listed, with a word those whose title has it.
    """
    word = "" if code is None else code.lower()
    named = [one for one in api.explained() if word in one.title.lower()]
    if named:
        for section in sorted(named, key=lambda one: one.code):
            click.echo(f"  {section.code}  {section.title}")
        return
    assert code is not None  # every title has "" in it
    try:
        click.echo(plain(api.explain(code)))
    except KeyError as reason:
        near = ", ".join(reason.args[0])
        hint = f" Did you mean {near}?" if near else " panelwright explain lists them all."
        raise CouldNot(f"there is no mistake {code}.{hint}") from reason


@main.command()
@files_argument
@click.option("--check", "only_look", is_flag=True, help="Change nothing; exit 1 if a file would change.")
@json_option
def tidy(files: tuple[str, ...], only_look: bool, as_json: bool) -> None:
    """Put panel files into the usual layout.

    Comments stay; `-` prints the text.

    A file with a mistake in it is tidied as far as it could be read; nothing is dropped.
    """
    give((_tidied(paper, only_look) for paper in papers(files)), as_json)


def _tidied(paper: Paper, only_look: bool) -> Answer:
    text = api.tidy(api.read(paper.octets, paper.name))
    values = {"file": paper.name, "changed": text != paper.text}
    if paper.path is None:
        return Answer(Code.FINE, text, {**values, "text": text})
    if text == paper.text:
        return Answer(Code.FINE, f"{paper.name}: tidy already", values)
    if only_look:
        return Answer(Code.FOUND, f"{paper.name}: not in the usual layout", values)
    write(paper.path, text)
    return Answer(Code.FINE, f"{paper.name}: tidied", values)
