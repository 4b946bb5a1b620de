"""A browser for the tests that need one: the system's Chromium, headless."""

from __future__ import annotations

import os
import shutil
from collections.abc import Iterator
from typing import TYPE_CHECKING

import pytest

if TYPE_CHECKING:
    from playwright.sync_api import Browser

# --no-sandbox: tests run as root in containers, where Chromium refuses to start otherwise.
ARGUMENTS = [
    "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
    "--disable-background-networking", "--disable-component-update", "--disable-sync",
]  # fmt: skip


def chromium_path() -> str:
    """Where Chromium is: as PANELWRIGHT_CHROMIUM says, else the system's; "" when there is none."""
    named = os.environ.get("PANELWRIGHT_CHROMIUM", "")
    return named or shutil.which("chromium") or shutil.which("chromium-browser") or ""


@pytest.fixture(scope="session", autouse=True)
def own_cache(tmp_path_factory: pytest.TempPathFactory) -> None:
    """Answers of proofs are kept in a folder of this run, not in the user's own."""
    os.environ["PANELWRIGHT_CACHE"] = str(tmp_path_factory.mktemp("cache"))


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    """One Chromium for all tests of a run."""
    from playwright.sync_api import sync_playwright

    found = chromium_path()
    if not found:
        pytest.fail("no Chromium found; python3 dev.py test installs it")
    with sync_playwright() as playwright:
        chromium = playwright.chromium.launch(executable_path=found, headless=True, args=ARGUMENTS)
        yield chromium
        chromium.close()
