"""Rules for every file in the tree: what must not stand in any, and that pages can be found."""

from __future__ import annotations

import re
import subprocess
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]

# Spelt backwards, so that this file does not find itself.
BACKWARDS = {
    "a path of somebody's machine": ("/krow/", "/emoh/", "/toor/", "sresU\\\\:C"),
    "how the project came about": ("tpircsnart", "tnemucod dees", "/derahs"),
}
NEVER = {what: "|".join(word[::-1] for word in words) for what, words in BACKWARDS.items()}
TEXT = {".py", ".md", ".toml", ".panel", ".css", ".js", ".html", ".svg", ".csv", ".lark", ".json", ".txt", ""}
LINK = re.compile(r"\]\(([^)#\s]+)(?:#[^)]*)?\)")


def tracked() -> list[Path]:
    """Files under version control, vendored ones apart."""
    listed = subprocess.run(["git", "ls-files", "-z"], cwd=ROOT, capture_output=True, check=True).stdout
    names = listed.decode("utf-8").split("\0")
    return [ROOT / name for name in names if name and "/vendor/" not in name and (ROOT / name).is_file()]


def pages() -> list[Path]:
    """Every page of documentation."""
    return sorted((ROOT / "docs").rglob("*.md"))


@pytest.mark.parametrize("what", NEVER)
def test_no_file_says_what_none_should(what: str) -> None:
    """No machine paths, nothing about how the project is run."""
    pattern = re.compile(NEVER[what], re.IGNORECASE)
    found = []
    for path in tracked():
        if path.suffix not in TEXT:
            continue
        for number, line in enumerate(path.read_text(encoding="utf-8", errors="replace").splitlines(), 1):
            if pattern.search(line):
                found.append(f"{path.relative_to(ROOT)}:{number}: {line.strip()[:80]}")

    assert [] == found


@pytest.mark.parametrize("page", pages(), ids=lambda page: str(page.relative_to(ROOT)))
def test_every_page_is_linked_from_the_index_of_its_shelf(page: Path) -> None:
    """Nobody has to guess that a page exists."""
    if page == ROOT / "docs" / "index.md":
        return
    shelf = page.parent.parent if page.name == "index.md" else page.parent
    while not (shelf / "index.md").exists():
        shelf = shelf.parent
    index = shelf / "index.md"
    linked = {(shelf / link).resolve() for link in LINK.findall(index.read_text(encoding="utf-8"))}

    assert page.resolve() in linked, f"link it from {index.relative_to(ROOT)}"


@pytest.mark.parametrize(
    "page",
    [*pages(), ROOT / "README.md", ROOT / "CONTRIBUTING.md", ROOT / "CHANGELOG.md"],
    ids=lambda page: str(page.relative_to(ROOT)),
)
def test_links_between_pages_lead_somewhere(page: Path) -> None:
    """A link to a file that is not there is a broken promise."""
    links = [link for link in LINK.findall(page.read_text(encoding="utf-8")) if "://" not in link]

    assert [] == [link for link in links if not (page.parent / link).exists()]
