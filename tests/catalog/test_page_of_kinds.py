"""docs/look-up/kinds.md says what the data files say; docs/how/add-a-device-kind.md names what there is."""

from __future__ import annotations

import importlib.util
import re
from pathlib import Path
from types import ModuleType

from panelwright.catalog.parts import PARTS
from panelwright.catalog.shelf import KindRow, PartRow

DOCS = Path(__file__).parents[2] / "docs"


def page_writer() -> ModuleType:
    """docs/kinds.py, which lies outside every package."""
    spec = importlib.util.spec_from_file_location("kinds_of_docs", DOCS / "kinds.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def test_the_page_of_kinds_is_what_the_catalogue_says() -> None:
    """`python3 dev.py docs` writes it again."""
    assert page_writer().kinds_page() == (DOCS / "look-up" / "kinds.md").read_text(encoding="utf-8")


def test_the_page_links_to_its_own_headings() -> None:
    """A figure of a kind leads to its table."""
    text = (DOCS / "look-up" / "kinds.md").read_text(encoding="utf-8")
    headings = {heading.lower().replace(" ", "-") for heading in re.findall(r"^#+ (.+)$", text, re.MULTILINE)}

    assert set() == set(re.findall(r"\]\(#([^)]+)\)", text)) - headings


def test_the_how_to_names_every_key_and_part() -> None:
    """Somebody who adds a kind finds all that the rows may hold."""
    text = (DOCS / "how" / "add-a-device-kind.md").read_text(encoding="utf-8")
    keys = {*KindRow.__struct_fields__, *PartRow.__struct_fields__}

    assert set() == {key for key in keys if f"`{key}`" not in text and f"| {key} |" not in text}
    assert set() == {part for part in PARTS if not re.search(rf"\b{part}\b", text)}
