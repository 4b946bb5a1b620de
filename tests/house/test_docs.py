"""Every block of the documentation runs, and says what the program says today."""

from __future__ import annotations

import importlib.util
import re
import sys
from pathlib import Path

import pytest

from panelwright import api
from panelwright.cli import main

ROOT = Path(__file__).parents[2]


def _generate():
    """docs/generate.py, which lies outside every package."""
    sys.path.insert(0, str(ROOT / "docs"))
    spec = importlib.util.spec_from_file_location("generate", ROOT / "docs" / "generate.py")
    module = importlib.util.module_from_spec(spec)
    sys.modules["generate"] = module
    spec.loader.exec_module(module)
    return module


generate = _generate()
PAGES = [page for page in generate.pages() if generate.blocks_of(page.read_text(encoding="utf-8"))]


@pytest.mark.parametrize("page", PAGES, ids=lambda page: str(page.relative_to(ROOT)))
def test_the_blocks_of_a_page_say_what_the_program_says(page: Path) -> None:
    """Commands, Python and panel files of a page are run and their answers compared."""
    text = page.read_text(encoding="utf-8")
    with generate.workplace():
        fresh = generate.answers(text)

    for old, new in zip(generate.blocks_of(text), fresh, strict=True):
        assert new.text == old.text, f"{page.name}:{old.line} is stale: python3 dev.py docs"


@pytest.mark.parametrize("page", PAGES, ids=lambda page: str(page.relative_to(ROOT)))
def test_every_block_says_what_it_is(page: Path) -> None:
    """A block without a known word would never run."""
    unknown = [
        f"{page.name}:{block.line} {block.kind!r}"
        for block in generate.blocks_of(page.read_text(encoding="utf-8"))
        if block.kind not in generate.KINDS and not generate.WRITTEN.fullmatch(block.kind)
    ]

    assert [] == unknown


@pytest.mark.parametrize("page", PAGES, ids=lambda page: str(page.relative_to(ROOT)))
def test_panel_blocks_are_right_or_wrong_as_they_say(page: Path) -> None:
    """A `panel` block has no mistake, nor what its section is about; a `panel wrong` block has that."""
    text = page.read_text(encoding="utf-8")
    for block in generate.blocks_of(text):
        if block.kind not in ("panel", "panel wrong"):
            continue
        code = generate.code_above(text, block)
        found = generate.problems_in(block.text)
        about = [one for one in found if one.code == code] if code else list(found)
        mistakes = [one for one in found if one.severity == "mistake"]
        where = f"{page.name}:{block.line}: {[(one.code, one.message) for one in found]}"

        if block.kind == "panel wrong":
            assert about, where
        else:
            assert not mistakes, where
            assert not code or not about, where


def test_generated_files_are_current() -> None:
    """The command reference and the pictures are what the program makes today."""
    with generate.workplace():
        fresh = generate.generated()

    stale = [
        str(path.relative_to(ROOT))
        for path, text in fresh.items()
        if not path.exists() or path.read_text(encoding="utf-8") != text
    ]
    assert [] == stale, "python3 dev.py docs"


@pytest.mark.parametrize("page", generate.pages(), ids=lambda page: str(page.relative_to(ROOT)))
def test_written_tables_are_current(page: Path) -> None:
    """Tables between marks are what the catalogue and the pages of mistakes say today."""
    text = page.read_text(encoding="utf-8")

    assert generate.filled(text) == text, "python3 dev.py docs"


def test_dev_py_knows_what_the_pages_tell_to_type() -> None:
    """`python3 dev.py WORD` in a page is a command of dev.py."""
    known = set(re.findall(r"python3 dev\.py (\w+)", (ROOT / "dev.py").read_text(encoding="utf-8")))
    told = {word for page in generate.pages() for word in re.findall(r"dev\.py (\w+)", page.read_text("utf-8"))}

    assert set() == told - known


@pytest.mark.parametrize("name", list(main.commands))
def test_every_command_has_a_page(name: str) -> None:
    """Each command is shown at work, as command and as Python, on a page of its own."""
    page = ROOT / "docs" / "how" / f"{name}.md"
    kinds = {block.kind for block in generate.blocks_of(page.read_text(encoding="utf-8"))}

    assert {"console", "python"} <= kinds or {"sh", "text"} <= kinds


def test_every_code_has_a_section() -> None:
    """Whatever stands before a problem can be explained."""
    used = {
        code
        for module in (ROOT / "src").rglob("*.py")
        if "sheets" not in module.parts  # where "PW400" is a weight of the face
        for code in re.findall(r'"(PW\d{3})"', module.read_text(encoding="utf-8"))
    }
    sections = [section.code for section in api.explained()]

    assert set() == used - set(sections)
    assert len(sections) == len(set(sections)), "a code with two sections"


def test_the_readme_shows_the_panel_file_as_it_is() -> None:
    """The piece of the well pump on the front page stands in the file, blanks apart."""
    readme = generate.blocks_of((ROOT / "README.md").read_text(encoding="utf-8"))
    piece = next(block for block in readme if block.kind == "text")
    panel = (ROOT / "examples" / "orchard" / "well-pump.panel").read_text(encoding="utf-8")
    there = {"".join(line.split()) for line in panel.splitlines()}

    assert [] == [line for line in piece.lines if "".join(line.split()) not in there]
