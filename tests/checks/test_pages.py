"""Each rule has a page with a wrong and a right example, and the page is the test."""

import re
import sys
from pathlib import Path

import pytest

from panelwright.checks import RULES

ROOT = Path(__file__).parents[2]
PAGES = ROOT / "docs" / "checks"


@pytest.fixture(scope="module")
def generate():
    """docs/generate.py, which lies outside every package."""
    sys.path.insert(0, str(ROOT / "docs"))
    import generate as module

    return module


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.name)
def test_the_page_shows_the_mistake_and_its_cure(rule, generate):
    """The wrong example gives the code, the right one nothing."""
    text = (PAGES / f"{rule.name}.md").read_text(encoding="utf-8")
    blocks = {b.kind: b.text for b in generate.blocks_of(text) if b.kind in ("panel", "panel wrong")}

    assert f"({rule.code})" in text.splitlines()[0]
    assert re.search(r"^Source: ", text, re.MULTILINE)
    assert rule.code in {problem.code for problem in generate.problems_in(blocks["panel wrong"])}
    assert [] == [problem.code for problem in generate.problems_in(blocks["panel"])]


def test_codes_and_names_are_used_once():
    """A code is never given twice."""
    assert len(RULES) == len({rule.code for rule in RULES}) == len({rule.name for rule in RULES})
    assert 30 <= len(RULES)
