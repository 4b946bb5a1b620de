"""What all commands share: answers, exit codes, JSON, patience, and no traceback for the user."""

from __future__ import annotations

import json
import os
import sys
import threading
import time
import traceback
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass, field
from enum import IntEnum
from typing import Any

import click

BEFORE_WE_SAY_S = 1.0  # anything quicker needs no word


class Code(IntEnum):
    """Exit codes of every command."""

    FINE = 0
    FOUND = 1  # a mistake, a failed trial, a broken promise
    COULD_NOT = 2
    NOT_DECIDED = 3


class CouldNot(click.ClickException):
    """The command cannot be carried out; the message says why and what to do."""

    exit_code = int(Code.COULD_NOT)


WORST_LAST = (Code.FINE, Code.NOT_DECIDED, Code.FOUND, Code.COULD_NOT)


@dataclass(frozen=True, slots=True)
class Answer:
    """What a command says about one file: text for people, `values` for programs. `stopped`: nothing more follows."""

    code: Code
    text: str
    values: dict[str, Any] = field(default_factory=dict)
    stopped: bool = False


Total = Callable[[list[dict[str, Any]]], str]


def give(answers: Iterator[Answer], as_json: bool, total: Total | None = None) -> None:
    """Print the answers, for several files their `total`, and leave with the worst of their codes.

    JSON: one object for one file, a list of objects for several.
    """
    codes: list[Code] = [Code.FINE]
    values: list[dict[str, Any]] = []
    was_long = False
    try:
        for answer in answers:
            if not as_json and answer.text:
                long = "\n" in answer.text.strip()
                apart = "\n" if len(codes) > 1 and (long or was_long) else ""  # one-line answers make a list
                was_long = long
                click.echo(apart + answer.text.rstrip("\n"))
            codes.append(answer.code)
            values.append(answer.values)
            if answer.stopped:
                break
    except KeyboardInterrupt:  # between two answers: those that are there count
        codes.append(Code.NOT_DECIDED)
        click.echo("Stopped.", err=True)
    if total and not as_json and len(values) > 1:
        click.echo(f"\n{len(values)} files: {total(values)}.")
    if as_json:
        click.echo(json.dumps(values[0] if len(values) == 1 else values, indent=2, ensure_ascii=False))
    sys.exit(max(codes, key=WORST_LAST.index))


class _Waiting:
    """What the terminal shows while something takes long: words, and the seconds gone."""

    def __init__(self, doing: str) -> None:
        self.doing, self.now, self.since = doing, "", time.monotonic()

    def __rich__(self) -> str:
        now = f": {self.now}" if self.now else " ..."
        return f"{self.doing}{now}, {time.monotonic() - self.since:.0f} s (Ctrl+C stops it)"


_waiting: ContextVar[_Waiting | None] = ContextVar("waiting", default=None)


def say(words: str) -> None:
    """Say what is being done just now, where somebody waits at a terminal."""
    waiting = _waiting.get()
    if waiting is not None:
        waiting.now = words


@contextmanager
def patience(doing: str) -> Iterator[None]:
    """Say on the terminal what takes so long, once it does; pipes and files never see it."""
    if not sys.stderr.isatty():
        yield
        return
    from rich.console import Console

    waiting = _Waiting(doing)
    status = Console(stderr=True).status(waiting)
    timer = threading.Timer(BEFORE_WE_SAY_S, status.start)
    timer.daemon = True
    timer.start()
    before = _waiting.set(waiting)
    try:
        yield
    finally:
        _waiting.reset(before)
        timer.cancel()
        status.stop()


class PlainGroup(click.Group):
    """Commands in the order in which they are written; a slip inside Panelwright becomes a sentence."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        """In the order of the job, not of the alphabet."""
        return list(self.commands)

    def invoke(self, ctx: click.Context) -> Any:
        """Run the command; keep tracebacks for those who ask for them."""
        for stream in (sys.stdout, sys.stderr):
            if hasattr(stream, "reconfigure"):  # an old code page has no sign for ohm
                stream.reconfigure(encoding="utf-8", errors="replace")
        try:
            return super().invoke(ctx)
        except (click.ClickException, click.exceptions.Exit, click.Abort, BrokenPipeError):
            raise
        except Exception as slip:  # the last net under everything, so that nobody meets a traceback
            if os.environ.get("PANELWRIGHT_TRACEBACK"):
                raise
            if isinstance(slip, OSError) and slip.filename:
                raise CouldNot(f"{slip.filename}: {slip.strerror}.") from slip
            raise CouldNot(_slip(slip)) from slip


def _slip(slip: Exception) -> str:
    last = traceback.extract_tb(slip.__traceback__)[-1]
    return (
        f"Panelwright made a mistake here, not you: {type(slip).__name__}: {slip}\n"
        f"  in {last.name}, {os.path.basename(last.filename)} line {last.lineno}\n"
        "Your file was not changed. Set PANELWRIGHT_TRACEBACK=1 and run it again to see everything, "
        "and please report that together with the panel file."
    )


def json_option(command: Callable[..., Any]) -> Callable[..., Any]:
    """`--json`, worded once."""
    return click.option("--json", "as_json", is_flag=True, help="Answer as JSON, for other programs.")(command)


def files_argument(command: Callable[..., Any]) -> Callable[..., Any]:
    """`FILE...`, worded once."""
    return click.argument("files", metavar="FILE...", nargs=-1, required=True)(command)
