"""Every word that users see stands in docs/words.md with its origin."""

from __future__ import annotations

import re
import socket
import subprocess
import sys
from pathlib import Path
from typing import TYPE_CHECKING

import click
import pytest

from panelwright.cli import main
from panelwright.language.headings import SECTIONS

if TYPE_CHECKING:
    from playwright.sync_api import Browser

ROOT = Path(__file__).parents[2]
WORDS = ROOT / "docs" / "words.md"
UNITS = {"min", "kohm", "Mohm", "ohm", "ohms", "sec", "second", "seconds"}  # standard: SI and what goes with it
UNITS |= {"minute", "minutes", "hour", "hours", "volt", "volts", "amp", "amps"}
ORIGINS = ("trade", "standard", "ours", "general software word", "name of an open format")


def rows() -> list[tuple[str, str, str]]:
    """(words, where, origin) of every row of every table."""
    found = []
    for line in WORDS.read_text(encoding="utf-8").splitlines():
        cells = [cell.strip() for cell in re.split(r"(?<!\\)\|", line.strip().strip("|"))]
        if line.startswith("|") and len(cells) == 3 and cells[0] != "word" and not cells[0].startswith("---"):
            found.append((cells[0], cells[1], cells[2]))
    return found


def listed() -> set[str]:
    """Every word of the first columns, one by one."""
    return {word.strip() for words, _, _ in rows() for word in words.split(",")}


def commands() -> list[click.Command]:
    """Every command of the program."""
    return list(main.commands.values())


def test_every_command_is_listed() -> None:
    """A new command brings its line."""
    assert set() == {command.name for command in commands()} - listed()


def test_every_option_is_listed() -> None:
    """A new option brings its line."""
    options = {
        name
        for command in [main, *commands()]
        for parameter in command.get_params(click.Context(command))
        if isinstance(parameter, click.Option)
        for name in [*parameter.opts, *parameter.secondary_opts]
    }

    assert set() == options - listed()


def test_every_heading_is_listed() -> None:
    """The words that open a section of a panel file."""
    assert set() == set(SECTIONS) - listed()


def test_every_word_of_the_grammar_is_listed() -> None:
    """Whatever a sentence or a trial may say has its origin told."""
    grammar = (ROOT / "src" / "panelwright" / "language" / "grammar.lark").read_text(encoding="utf-8")
    rules = "\n".join(line.partition("//")[0] for line in grammar.splitlines())
    quoted = re.findall(r'"([a-z]+)"', rules)
    patterns = re.findall(r"(?<=: )/(.+?)/(?=\s|$)|\.\d: /(.+?)/(?=\s|$)", rules)
    spoken = [
        word for pattern in patterns for part in pattern for word in re.findall(r"[a-z-]{3,}", _without_signs(part))
    ]
    known = {piece for words in listed() for piece in words.split()}

    assert set() == {*quoted, *spoken} - known - UNITS


def _without_signs(pattern: str) -> str:
    """A pattern's words as a reader says them: "picks?\\s+up" is "picks up"."""
    pattern = pattern.replace("[sz]", "s")
    return re.sub(r"\[[^]]*\]|\\[bst]|\?!?", " ", pattern.replace(r"\s+", " ").replace("s?", "s").replace("es?", "es"))


@pytest.mark.parametrize("command", commands(), ids=lambda command: command.name)
def test_every_command_says_what_it_does(command: click.Command) -> None:
    """`--help` has a sentence for the command and one for each option."""
    assert command.help
    for parameter in command.params:
        assert not isinstance(parameter, click.Option) or parameter.help, parameter.name


def test_every_row_says_where_a_word_comes_from() -> None:
    """Trade, standard, ours or general: nothing else, and nothing empty."""
    unclear = [words for words, where, origin in rows() if not where or not any(o in origin for o in (*ORIGINS, "IEC"))]

    assert [] == unclear


def test_no_word_stands_in_one_table_twice() -> None:
    """Two lines for one use would soon disagree."""
    seen, twice = set(), []
    for words, where, _ in rows():
        twice += [words] if (words, where) in seen else []
        seen.add((words, where))

    assert [] == twice


READ_PAGE = """() => [...document.querySelectorAll("button, h2, th, summary")]
    .filter(e => e.checkVisibility()).map(e => e.textContent.trim().replace(/\\s+/g, " "))"""
OWN = re.compile(r"[+@−-]|-?[0-9]*[A-Z]+[0-9]+([.:].*| .*)?|.*\\.panel|[0-9.]+( s| min)?")  # tags, files, figures


@pytest.fixture(name="page_words")
def _page_words(browser: Browser) -> set[str]:
    """Every word on a button or in a heading of the bench, in each of its places of work."""
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    pump = str(ROOT / "examples" / "orchard" / "well-pump.panel")
    command = [sys.executable, "-m", "panelwright", "bench", pump, "--no-browser", "--port", str(port)]
    server = subprocess.Popen(command, stdout=subprocess.PIPE)
    try:
        assert server.stdout
        server.stdout.readline()
        page = browser.new_page()
        page.goto(f"http://127.0.0.1:{port}/")
        page.wait_for_selector("[data-control]")
        found: set[str] = set()
        for verb in page.locator("[data-go]").evaluate_all("all => all.map(e => e.dataset.go)"):
            page.click(f'[data-go="{verb}"]')
            page.wait_for_timeout(200)
            found |= set(page.evaluate(READ_PAGE))
        page.close()
        return found
    finally:
        server.terminate()
        server.wait()


def test_every_word_of_the_page_is_listed(page_words: set[str]) -> None:
    """Buttons and headings of the bench have their origin told, too."""
    known = {word.lower() for word in listed()}
    pieces = {
        re.sub(r"^[0-9]+ | [0-9.]+( s)?$| all [0-9]+ pass$|^[^ ]+: (?=mark)|^\S+\.panel ", "", piece.strip())
        for words in page_words
        for piece in words.split(",")
    }
    pump = (ROOT / "examples" / "orchard" / "well-pump.panel").read_text(encoding="utf-8")
    pieces -= {piece.strip() for text in re.findall(r'"([^"]+)"', pump) for piece in text.split(",")}
    unknown = {piece for piece in pieces if piece and not OWN.fullmatch(piece) and piece.lower() not in known}

    assert set() == unknown
