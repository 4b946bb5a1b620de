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
        if block.kind not in generate.KINDS
    ]

    assert [] == unknown


@pytest.mark.parametrize("page", PAGES, ids=lambda page: str(page.relative_to(ROOT)))
def test_panel_blocks_are_right_or_wrong_as_they_say(page: Path) -> None:
    """A `panel` block has no mistake; a `panel wrong` block has one."""
    for block in generate.blocks_of(page.read_text(encoding="utf-8")):
        if block.kind in ("panel", "panel wrong"):
            says = generate.panel_says(block.text)

            assert bool(says) == (block.kind == "panel wrong"), f"{page.name}:{block.line}\n{says}"


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
        for code in re.findall(r'"(PW\d{3})"', module.read_text(encoding="utf-8"))
    }
    sections = [section.code for section in api.explained()]

    assert set() == used - set(sections)
    assert len(sections) == len(set(sections)), "a code with two sections"


def test_every_section_shows_its_own_mistake() -> None:
    """The wrong example under a heading makes the problem that the heading names."""
    for section in api.explained():
        problems = [block.text for block in generate.blocks_of(section.text) if block.kind == "problem"]

        assert not problems or section.code in "".join(problems), section.code
