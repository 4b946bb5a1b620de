"""A bench that runs on panels of its own, and pages that look at it."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
import uvicorn

from panelwright.bench.server import Bench, make_app

if TYPE_CHECKING:
    from playwright.sync_api import Browser, BrowserContext, Page

ORCHARD = Path(__file__).parents[2] / "examples" / "orchard"
WIDTHS = {"phone": (390, 844), "tablet": (820, 1180), "desktop": (1440, 900)}


@dataclass
class Running:
    """A bench that serves; `stop` and `start` are a crash and a new start as far as pages can tell."""

    folder: Path
    port: int = 0

    def start(self) -> None:
        """Serve, on the same port as before."""
        settings = uvicorn.Config(
            make_app(Bench([self.folder])), port=self.port, log_level="warning", timeout_graceful_shutdown=1
        )
        self.server = uvicorn.Server(settings)
        self.thread = threading.Thread(target=self.server.run, daemon=True)
        self.thread.start()
        until = time.monotonic() + 10
        while not self.server.started:
            assert time.monotonic() < until, "the bench did not start"
            time.sleep(0.01)
        self.port = self.server.servers[0].sockets[0].getsockname()[1]

    def stop(self) -> None:
        """Close every line and end."""
        self.server.should_exit = True
        self.thread.join(10)

    @property
    def host(self) -> str:
        """Host and port, as in a Host header."""
        return f"127.0.0.1:{self.port}"

    def panel(self, name: str = "well-pump") -> str:
        """Address of a panel's page."""
        return f"http://{self.host}/panel/{name}"


@pytest.fixture
def bench(tmp_path: Path) -> Iterator[Running]:
    """A bench on copies of the orchard panels."""
    folder = tmp_path / "panels"
    folder.mkdir()
    for source in ORCHARD.glob("*.panel"):
        (folder / source.name).write_bytes(source.read_bytes())
    running = Running(folder)
    running.start()
    yield running
    running.stop()


def open_context(browser: Browser, width: str = "desktop", **more: object) -> BrowserContext:
    """A browser window of one of the three widths; phone and tablet are touched."""
    wide, high = WIDTHS[width]
    touched: dict[str, object] = {} if width == "desktop" else {"has_touch": True, "is_mobile": True}
    return browser.new_context(
        service_workers="block",
        viewport={"width": wide, "height": high},
        **{**touched, **more},  # type: ignore[arg-type]
    )


@pytest.fixture
def open_page(browser: Browser) -> Iterator[Callable[..., Page]]:
    """Opens pages; afterwards none of them may have complained (a refusal by the content policy is a complaint)."""
    contexts: list[BrowserContext] = []
    complaints: list[str] = []
    expected: list[str] = []

    def opens(address: str, width: str = "desktop", allow: str = "", **more: object) -> Page:
        context = open_context(browser, width, **more)
        contexts.append(context)
        page = context.new_page()
        if allow:
            expected.append(allow)
        page.on("pageerror", lambda fault: complaints.append(str(fault)))
        page.on("console", lambda said: complaints.append(said.text) if said.type == "error" else None)
        page.goto(address)
        page.wait_for_selector("#paper svg")
        return page

    yield opens
    for context in contexts:
        context.close()

    assert [] == [one for one in complaints if not any(words in one for words in expected)]


def wait_js(page: Page, condition: str, ms: int = 5000) -> None:
    """Wait until a JavaScript condition holds. (Playwright's own wait needs eval, which the content policy forbids.)"""
    page.evaluate(
        f"()=>new Promise((ok,no)=>{{const t=Date.now();const f=()=>({condition})?ok(1):"
        f"Date.now()-t>{ms}?no(new Error({condition!r})):setTimeout(f,5);f()}})"
    )
