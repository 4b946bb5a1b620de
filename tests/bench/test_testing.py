"""Test sheets filled in and wires ticked on the bench: judged at once, never lost, put into the records on purpose."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest
from starlette.testclient import TestClient, WebSocketTestSession

from panelwright import api
from panelwright.bench.server import Bench, make_app
from panelwright.records import Records, beside

from .conftest import ORCHARD, WIDTHS, Running, wait_js
from .test_find import SLOW_MS
from .test_page import AXE

if TYPE_CHECKING:
    from playwright.sync_api import Page

Opens = Callable[..., "Page"]
HERE = "127.0.0.1:8640"
COIL = 27  # line of the cold sheet of the well pump: the coil of K1, 640 ohm


@pytest.fixture
def panel(tmp_path: Path) -> Path:
    """The well pump in a folder of its own."""
    path = tmp_path / "well-pump.panel"
    path.write_bytes((ORCHARD / "well-pump.panel").read_bytes())
    return path


class Talk:
    """One page without a browser: what it asks, and all that it was told."""

    def __init__(self, line: WebSocketTestSession) -> None:
        self.line = line
        self.facts: dict[str, Any] = {}

    def until(self, holds: Callable[[dict[str, Any]], Any]) -> dict[str, Any]:
        """Listen until what was told holds."""
        while not (self.facts and holds(self.facts)):
            self.facts |= self.line.receive_json()
        return self.facts

    def ask(self, **request: Any) -> None:
        """Ask for something."""
        self.line.send_text(json.dumps(request))

    def sheet(self, kind: str) -> dict[str, Any]:
        """Open a sheet and wait for it."""
        self.ask(ask="sheet", kind=kind)
        return self.until(
            lambda facts: (
                facts.get("sheet", {}).get("state") not in (None, "", "working") and facts["sheet"]["kind"] == kind
            )
        )

    def enter(self, number: int, result: str) -> dict[str, Any]:
        """Enter a result and wait for its verdict."""
        self.ask(ask="enter", number=number, result=result)
        return self.until(lambda facts: facts["results"]["entries"].get(str(number), {}).get("result") == result)


@pytest.fixture
def talk(panel: Path) -> Callable[[], Any]:
    """Opens a page on a bench; a new one each time, as after a crash."""

    def opens() -> Any:
        client = TestClient(make_app(Bench([panel])), base_url=f"http://{HERE}")
        return client.websocket_connect("/live/well-pump", headers={"origin": f"http://{HERE}", "host": HERE})

    return opens


def test_a_result_is_judged_as_it_is_entered(talk: Callable[[], Any]) -> None:
    """As the command judges it: a coil of 640 ohm that reads open has failed."""
    with talk() as line:
        page = Talk(line)
        page.sheet("cold")
        page.enter(COIL, "630 ohm")
        assert page.facts["results"]["entries"][str(COIL)]["verdict"] == "passed"
        page.enter(COIL, "open")

        assert page.facts["results"]["entries"][str(COIL)]["verdict"] == "failed"
        assert page.facts["results"]["failed"] == 1


def test_the_sheet_is_the_printed_one(talk: Callable[[], Any], panel: Path) -> None:
    """The same lines under the same numbers as `testsheet` prints."""
    printed = api.test_sheet(api.read_file(panel).circuit, "live")
    with talk() as line:
        sheet = Talk(line).sheet("live")["sheet"]
    lines = [one for part in sheet["parts"] for one in part["lines"]]

    assert [one.do for one in printed.lines] == [one["do"] for one in lines]
    assert list(range(1, len(lines) + 1)) == [one["number"] for one in lines]


def test_results_outlive_a_crash_and_a_changed_text(talk: Callable[[], Any], panel: Path) -> None:
    """They go by what the line says: a device more shifts the numbers, and the result stays with its line."""
    with talk() as line:
        page = Talk(line)
        page.sheet("cold")
        page.enter(COIL, "630 ohm")
    changed = panel.read_text(encoding="utf-8").replace("devices on plate\n", "devices on plate\n  H3 lamp 24 V dc\n")
    panel.write_text(changed.replace("rungs from + to -\n", "rungs from + to -\n  H3\n"), encoding="utf-8")
    with talk() as line:
        page = Talk(line)
        sheet = page.sheet("cold")["sheet"]
        facts = page.until(lambda facts: facts["results"]["entries"])
    lines = {one["number"]: one for part in sheet["parts"] for one in part["lines"]}
    ((number, entry),) = facts["results"]["entries"].items()

    assert entry["result"] == "630 ohm"
    assert lines[int(number)]["do"].startswith("the coil of K1")
    assert int(number) != COIL


def test_what_is_kept_goes_into_the_records_of_the_panel_file(talk: Callable[[], Any], panel: Path) -> None:
    """One sitting for each who tested; nothing is kept unsigned, and nothing twice."""
    with talk() as line:
        page = Talk(line)
        page.sheet("cold")
        page.enter(1, "ok")
        page.ask(ask="keep")
        page.until(lambda facts: facts["results"]["told"][0] == "refused")
        assert "who tested" in page.facts["results"]["told"][1]
        for field, words in (("panel", "7"), ("by", "M. Reed"), ("meter", "4711"), ("date", "2026-03-04")):
            page.ask(ask="head", field=field, words=words)
        page.enter(COIL, "open")
        page.ask(ask="head", field="by", words="R. Okafor")
        page.enter(2, "ok")
        page.ask(ask="keep")
        page.until(lambda facts: facts["results"]["to_keep"] == 0)
        page.ask(ask="keep")
        page.until(lambda facts: "nothing new" in facts["results"]["told"][1])
    kept = [one.sitting for one in Records(beside(panel)).all()]

    assert [("M. Reed", [COIL]), ("R. Okafor", [1, 2])] == [
        (one.by, [line.number for line in one.lines]) for one in sorted(kept, key=lambda one: one.by)
    ]
    assert [("cold", "7", "2026-03-04")] * 2 == [(one.kind, one.panel, one.date) for one in kept]
    assert "failed" in [line.verdict for one in kept for line in one.lines]


def test_records_that_cannot_be_read_are_told_and_nothing_is_lost(talk: Callable[[], Any], panel: Path) -> None:
    """A file of another program under that name stays as it is."""
    beside(panel).write_bytes(b"something else altogether" * 40)
    with talk() as line:
        page = Talk(line)
        page.sheet("cold")
        page.ask(ask="head", field="by", words="M. Reed")
        page.enter(1, "ok")
        page.ask(ask="keep")
        page.until(lambda facts: facts["results"]["told"][0] == "refused")

    assert "another name" in page.facts["results"]["told"][1]
    assert page.facts["results"]["entries"]["1"]["result"] == "ok"
    assert beside(panel).read_bytes().startswith(b"something else")


def test_notes_that_cannot_be_read_are_put_aside(talk: Callable[[], Any], panel: Path) -> None:
    """Half a file, after a full disk: the page opens, and says where the old notes lie."""
    notes = panel.parent / ".panelwright" / "well-pump.panel.notes"
    notes.parent.mkdir()
    notes.write_text('{"edition": 1, "cold": [', encoding="utf-8")
    with talk() as line:
        told = Talk(line).until(lambda facts: "told" in facts)["told"]

    assert "could not be read" in told[1]
    assert [b'{"edition": 1, "cold": ['] == [one.read_bytes() for one in notes.parent.glob("*.unreadable")]


def test_wires_stay_ticked(talk: Callable[[], Any]) -> None:
    """Who laid a wire and who checked it is there again after a new start."""
    with talk() as line:
        page = Talk(line)
        wire = page.until(lambda facts: facts.get("panel", {}).get("wires"))["panel"]["wires"][0]["id"]
        page.ask(ask="head", field="by", words="MR")
        page.ask(ask="tick", wire=wire, what="laid", on=True)
        page.until(lambda facts: facts.get("built"))
    with talk() as line:
        page = Talk(line)
        assert {wire: ["MR", ""]} == page.until(lambda facts: facts.get("built"))["built"]
        page.ask(ask="tick", wire=wire, what="laid", on=False)

        assert {} == page.until(lambda facts: facts["built"] == {})["built"]


# -- in a browser ----------------------------------------------------------------------------------------------------


def open_sheet(page: Page, kind: str) -> None:
    """Go to Test and choose a sheet."""
    page.click('[data-go="test"]')
    page.click(f'[data-sheet="{kind}"]')
    wait_js(page, "document.querySelector('.test-line')", SLOW_MS)


def test_one_goes_down_the_sheet_with_the_keyboard(bench: Running, open_page: Opens) -> None:
    """Type, Enter, type, Enter: no letter is lost, each line gets its verdict, the leads stand on the drawing."""
    page = open_page(bench.panel())
    open_sheet(page, "cold")
    page.locator('[data-line="5"] input').focus()
    for words in ("0.1 ohm", "open"):
        page.keyboard.type(words, delay=30)
        page.keyboard.press("Enter")
    wait_js(page, "document.querySelector('.testing [role=status]').textContent.includes('2 of')")

    assert "passed" in page.inner_text('[data-line="5"]')
    assert "FAILED" in page.inner_text('[data-line="6"]')
    assert page.locator('[data-line="7"] input').evaluate("one => one === document.activeElement")
    assert page.locator(".plug-red").count() == page.locator(".plug-black").count() == 1


def test_a_failed_line_goes_on_to_its_cause(bench: Running, open_page: Opens) -> None:
    """The search starts with everything that was entered."""
    page = open_page(bench.panel())
    open_sheet(page, "cold")
    page.locator(f'[data-line="{COIL}"] input').fill("open")
    page.keyboard.press("Enter")
    page.get_by_role("button", name="Look for the cause").click()
    wait_js(page, "document.querySelectorAll('.causes > li').length", SLOW_MS)

    assert "K1" in page.locator(".causes > li").first.inner_text()
    assert f"line {COIL}: open" in page.inner_text(".find")


@pytest.mark.parametrize("width", WIDTHS)
def test_the_sheet_is_for_everybody(bench: Running, open_page: Opens, width: str) -> None:
    """No breach of the accessibility rules (axe-core), nothing wider than the window."""
    page = open_page(bench.panel(), width)
    open_sheet(page, "live")
    page.evaluate(AXE)
    found = page.evaluate("axe.run().then(result => result.violations.map(one => [one.id, one.nodes[0].html]))")

    assert [] == found
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")


def test_what_is_marked_lies_on_its_wire(bench: Running, open_page: Opens) -> None:
    """The band behind a chosen wire covers the wire's own line, wherever its group is placed."""
    page = open_page(bench.panel())
    page.click('[data-go="wire"]')
    page.locator("#next-wire").click()
    wait_js(page, "document.querySelector('.band')")
    near = page.evaluate(
        """() => {
          const lines = ['wire', 'rail', 'lead'].map((one) => `[data-net="+"] > .${one}`).join();
          const boxes = [...document.querySelectorAll(lines)].map((one) => one.getBoundingClientRect());
          return [...document.querySelectorAll('.band')].map((one) => one.getBoundingClientRect()).every((band) =>
            boxes.some((box) => Math.hypot(band.x + band.width / 2 - box.x - box.width / 2,
              band.y + band.height / 2 - box.y - box.height / 2) < 2));
        }"""
    )

    assert near
