"""Runs every block of the documentation and writes again what the program says.

    python3 dev.py docs             rewrite answers, command reference and pictures
    python3 dev.py docs PAGE...     the answers of these pages only
    (tests/house/test_docs.py fails while any of them is not what the program says today)

Blocks, by the word after the fence:
    console   lines `$ panelwright ...`, each followed by what it prints
    python    runs; the blocks of a page share their names; an `output` block after it is what it prints
    panel     a panel file without a mistake; a piece without a `panel` line has PREAMBLE behind it
    panel wrong   the same with mistakes; a `problem` block after it is what `check` says
    file NAME     what the reader puts into a file of that name
    added NAME    what he writes at its end
    line NAME 15  what he makes of its lines from 15 on, as many as the block has
    sh        what is typed outside of Panelwright; only its first words are looked at
    text      nothing is done with it
"""

from __future__ import annotations

import contextlib
import io
import os
import re
import shutil
import sys
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from panelwright.circuit import Problem

ROOT = Path(__file__).resolve().parents[1]
DOCS = ROOT / "docs"
PREAMBLE = DOCS / "look-up" / "usual-devices.panel"
ANSWERS = {"output", "problem"}
KINDS = {"console", "python", "panel", "panel wrong", "sh", "text", *ANSWERS}
WRITTEN = re.compile(r"(file|added|line) (\S+)(?: (\d+))?")


@dataclass(frozen=True, slots=True)
class Block:
    """One fenced block: the word after its fence, the line it starts on (from 1) and its lines."""

    kind: str
    line: int
    lines: tuple[str, ...]

    @property
    def text(self) -> str:
        """Its lines as one text."""
        return "\n".join(self.lines) + "\n"


def pages() -> list[Path]:
    """Every page whose blocks run."""
    return sorted([*DOCS.rglob("*.md"), *ROOT.glob("*.md")])


def blocks_of(text: str) -> list[Block]:
    """The fenced blocks of a page, in order."""
    found: list[Block] = []
    fence, kind, start, inside = "", "", 0, []
    for number, line in enumerate(text.splitlines(), 1):
        if not fence and line.startswith("```"):
            fence = line[: len(line) - len(line.lstrip("`"))]
            kind, start, inside = line.lstrip("`").strip(), number, []
        elif fence and line.strip() == fence:
            found.append(Block(kind, start, tuple(inside)))
            fence = ""
        elif fence:
            inside.append(line)
    return found


@contextlib.contextmanager
def workplace() -> Iterator[Path]:
    """A folder with the examples, to which the commands of a page may write."""
    before = Path.cwd()
    with tempfile.TemporaryDirectory() as folder:
        shutil.copytree(ROOT / "examples", Path(folder) / "examples")
        os.chdir(folder)
        try:
            yield Path(folder)
        finally:
            os.chdir(before)


def answers(text: str) -> list[Block]:
    """The blocks of a page as they read when run today, in a workplace."""
    fresh: list[Block] = []
    names: dict[str, object] = {"__name__": "page"}
    said = ""
    for block in blocks_of(text):
        if block.kind == "console":
            block = replace(block, lines=tuple(console(block.lines)))
        elif block.kind == "python":
            said = run_python(block.text, names)
        elif block.kind in ("panel", "panel wrong"):
            said = panel_says(block.text, code_above(text, block))
        elif WRITTEN.fullmatch(block.kind):
            write(block)
        elif block.kind in ANSWERS:
            block = replace(block, lines=tuple(said.rstrip("\n").splitlines()))
        fresh.append(block)
    return fresh


def write(block: Block) -> None:
    """Do in the workplace what the reader does in his editor."""
    match = WRITTEN.fullmatch(block.kind)
    assert match is not None
    how, path, line = match[1], Path(match[2]), match[3]
    before = path.read_text(encoding="utf-8") if how != "file" else ""
    if how == "line":
        lines = before.splitlines(keepends=True)
        lines[int(line) - 1 : int(line) - 1 + len(block.lines)] = [block.text]
        before, text = "".join(lines), ""
    else:
        text = block.text
    path.write_text(before + text, encoding="utf-8")


def console(lines: tuple[str, ...]) -> Iterator[str]:
    """Each command line of a console block, followed by what it prints now."""
    for line in lines:
        if line.startswith("$ "):
            yield line
            yield from command_says(line[2:]).rstrip("\n").splitlines()


def command_says(line: str) -> str:
    """What `panelwright ...` prints."""
    import shlex

    from click.testing import CliRunner

    from panelwright.cli import main

    words = shlex.split(line, comments=True)
    if words[0] != "panelwright":
        raise ValueError(f"a console block runs panelwright, not {words[0]}; use a sh block")
    result = CliRunner().invoke(main, words[1:], prog_name="panelwright", terminal_width=100)
    if result.exception and not isinstance(result.exception, SystemExit):
        raise result.exception
    if "Panelwright made a mistake" in result.output:
        raise RuntimeError(f"{line}\n{result.output}")
    return "\n".join(line.rstrip() for line in result.output.splitlines())


def run_python(source: str, names: dict[str, object]) -> str:
    """What a python block prints; `names` goes on from block to block."""
    said = io.StringIO()
    with contextlib.redirect_stdout(said):
        exec(compile(source, "<page>", "exec"), names)  # our own pages, run on purpose
    return said.getvalue()


def problems_in(piece: str) -> tuple[Problem, ...]:
    """What `check` finds in a panel block.

    A piece without a `panel` line has PREAMBLE put behind it, so that its lines keep their numbers; what is found in
    PREAMBLE (devices that the piece does not use) is left out.
    """
    import panelwright as pw

    whole = piece.lstrip().startswith("panel")
    reading = pw.read(piece if whole else f"{piece}\n{PREAMBLE.read_text(encoding='utf-8')}", "page.panel")
    found = (*reading.problems, *(pw.check(reading.circuit) if reading.ok else ()))
    lines = len(piece.splitlines())
    return tuple(problem for problem in found if problem.span is None or problem.span.line <= lines)


def panel_says(piece: str, code: str = "") -> str:
    """What `check` prints about a panel block; with a code, about that mistake alone."""
    from panelwright.telling import in_file_order, told_problem

    found = [problem for problem in problems_in(piece) if code in ("", problem.code)]
    told = ["\n".join(told_problem(problem, "page.panel", piece.splitlines())) for problem in in_file_order(found)]
    return "\n\n".join(re.sub(r"\nmore: .*", "", one) for one in told) + "\n"


def code_above(text: str, block: Block) -> str:
    """The code in the nearest heading above a block, "" if that has none."""
    above = "\n".join(text.splitlines()[: block.line])
    headings = re.findall(r"^#+ .*$", above, re.MULTILINE)
    found = re.search(r"\((PW\d{3})\)$", headings[-1]) if headings else None
    return found.group(1) if found else ""


def kinds_rows() -> list[str]:
    """Each kind with its other names, as rows of the table of words."""
    from panelwright.catalog.shelf import shelf

    return [f"| {', '.join([row.name, *row.also])} | kind | trade |" for row in shelf().kinds.values()]


def facts_rows() -> list[str]:
    """The words of device lines: those that begin facts, those that stand alone, bases, suppressors, colours."""
    from panelwright.catalog.shelf import shelf

    rows = shelf()
    found = [f"| {', '.join(row.lead)} | fact: {row.says} | {row.origin} |" for row in rows.facts.values() if row.lead]
    found += [f"| {', '.join([row.name, *row.also])} | {row.says} | {row.origin} |" for row in rows.words.values()]
    for what, table in (("base", rows.bases), ("suppressor", rows.suppressors), ("colour", rows.colours)):
        found += [f"| {', '.join([row.name, *row.also])} | {what} | trade |" for row in table.values()]
    return found


def mistakes_rows() -> list[str]:
    """The title of each mistake, as rows of the table of words."""
    from panelwright import api

    return [f"| {one.title.replace('|', '')} | {one.code} | ours |" for one in api.explained()]


def filled(text: str) -> str:
    """A page with its written tables filled: what stands between `<!-- kinds -->` and `<!-- end -->`, for instance."""
    for name, rows in (("kinds", kinds_rows), ("facts", facts_rows), ("mistakes", mistakes_rows)):
        start, mark = text.find(f"<!-- {name} -->\n"), "<!-- end -->"
        if start >= 0:
            table = "\n".join(["| word | where | origin |", "| --- | --- | --- |", *rows()])
            text = f"{text[:start]}<!-- {name} -->\n\n{table}\n\n{text[text.index(mark, start) :]}"
    return re.sub(r"(<!-- include (\S+) -->\n).*?(?=<!-- end -->)", _included, text, flags=re.DOTALL)


def _included(found: re.Match[str]) -> str:
    """The mark of an included file, and the file as a block."""
    source = (ROOT / found.group(2)).read_text(encoding="utf-8")
    return f"{found.group(1)}\n```text\n{source.rstrip()}\n```\n\n"


def refreshed(text: str) -> str:
    """The page with every answer as the program gives it today."""
    text = filled(text)
    lines = text.splitlines()
    for old, new in reversed(list(zip(blocks_of(text), answers(text), strict=True))):
        lines[old.line : old.line + len(old.lines)] = new.lines
    return "\n".join(lines) + "\n"


def command_reference() -> str:
    """docs/look-up/commands.md: the help of every command, as the program prints it."""
    from panelwright.cli import main

    parts = [COMMANDS_HEAD, "```console", *console(("$ panelwright --help",)), "```"]
    for name, command in main.commands.items():
        parts += ["", f"## {name}", "", *_how(name), "```console"]
        parts += [*console((f"$ panelwright {name} --help",)), "```"]
        assert command.help
    return "\n".join(parts) + "\n"


COMMANDS_HEAD = """# Commands

Written by `python3 dev.py docs`; do not edit.
Every command takes files, folders (searched all the way down) and `-` for what is typed or piped in.
Exit codes: 0 fine, 1 found something (a mistake, a failed trial, a broken promise), 2 could not do it, 3 not decided; for several files the worst of them, and then worst is 2, 1, 3, 0.
With `--json` one file gives one object, several give a list.
"""


def _how(name: str) -> list[str]:
    page = DOCS / "how" / f"{name}.md"
    return [f"How to use it: [{name}](../how/{name}.md).", ""] if page.exists() else []


def generated() -> dict[Path, str]:
    """Every generated file with the text it should have."""
    from fault_kinds import fault_list_page
    from finding_words import finding_words_page
    from kinds import kinds_page
    from pictures import pictures
    from symbols import symbols_page
    from tables import tables_page

    files = {DOCS / "pictures" / name: text for name, text in pictures().items()}
    files[DOCS / "look-up" / "kinds.md"] = kinds_page()
    files[DOCS / "look-up" / "fault-list.md"] = fault_list_page()
    files[DOCS / "look-up" / "finding-words.md"] = finding_words_page()
    files[DOCS / "look-up" / "symbols.md"] = symbols_page()
    files[DOCS / "look-up" / "tables.md"] = tables_page()
    files[DOCS / "look-up" / "commands.md"] = command_reference()
    return files


def main(only: list[Path]) -> None:
    """Write again whatever is not what the program says today; of the pages `only`, when some are named."""
    failed: list[Exception] = []
    with workplace():
        fresh = {} if only else generated()
        for page in only or pages():
            if page not in fresh:
                try:
                    fresh[page] = refreshed(page.read_text(encoding="utf-8"))
                except Exception as reason:
                    reason.add_note(f"while running {page.relative_to(ROOT)}")
                    failed.append(reason)
    for path, text in fresh.items():
        if not path.exists() or path.read_text(encoding="utf-8") != text:
            print(f"written: {path.relative_to(ROOT)}")
            path.write_text(text, encoding="utf-8", newline="\n")
    if failed:
        raise ExceptionGroup("some pages do not run", failed)


if __name__ == "__main__":
    main([Path(name).resolve() for name in sys.argv[1:]])
