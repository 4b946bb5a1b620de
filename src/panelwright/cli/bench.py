"""Commands that open the page: bench, demo."""

from __future__ import annotations

import hashlib
import json
import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any

import click
from platformdirs import user_data_path

from .. import api
from .answering import CouldNot
from .group import main


def page_options(command: Callable[..., Any]) -> Callable[..., Any]:
    """`--port` and `--no-browser`, worded once."""
    port = click.option("--port", type=click.IntRange(1, 65535), help="Port of the page; else the first free one.")
    return port(click.option("--no-browser", is_flag=True, help="Say the address, and open nothing.")(command))


@main.command()
@click.argument("paths", metavar="[FILE|FOLDER]...", nargs=-1)
@page_options
def bench(paths: tuple[str, ...], port: int | None, no_browser: bool) -> None:
    """Open panels on a page in your browser.

    Press, watch, change, build along. Without a path: the panels of this folder."""
    _serve(paths or (".",), port, no_browser)


@main.command()
@page_options
def demo(port: int | None, no_browser: bool) -> None:
    """Open the bench on the demo panels.

    They are those of the (invented) Brackwater orchard co-operative, in a copy of your own."""
    _serve((str(_own_copy()),), port, no_browser)


def _serve(paths: tuple[str, ...], port: int | None, no_browser: bool) -> None:
    try:
        api.open_bench(paths, port=port, open_browser=not no_browser)
    except OSError as reason:
        raise CouldNot(str(reason)) from reason


def _own_copy() -> Path:
    """The demo panels in a folder of the user's own, so that changing them spoils nothing.

    A panel that the user never changed follows the one that comes with Panelwright; a changed one is left alone.
    """
    target = user_data_path("panelwright") / "orchard"
    notes = target / ".panelwright" / "as-shipped.json"
    shipped: dict[str, str] = json.loads(notes.read_text(encoding="utf-8")) if notes.exists() else {}
    notes.parent.mkdir(parents=True, exist_ok=True)
    for source in sorted((api.ready_circuits() / "orchard").glob("*.panel")):
        own = target / source.name
        if not own.exists() or shipped.get(own.name) == _mark(own):
            shutil.copyfile(source, own)
            shipped[own.name] = _mark(source)
    notes.write_text(json.dumps(shipped, indent=2), encoding="utf-8")
    return target


def _mark(path: Path) -> str:
    return hashlib.sha256(path.read_bytes()).hexdigest()
