"""Who is let in, and what the server sends."""

from __future__ import annotations

import hashlib
from pathlib import Path
from typing import Any

import httpx2
import pytest
from starlette.testclient import TestClient, WebSocketTestSession
from starlette.websockets import WebSocketDisconnect

from panelwright.bench.server import Bench, NoPanels, make_app

from .conftest import ORCHARD, Running

HERE = "127.0.0.1:8640"
VENDOR = Path(__file__).parents[2] / "src" / "panelwright" / "bench" / "page" / "vendor"


@pytest.fixture
def client(tmp_path: Path) -> TestClient:
    """A client on a bench with one panel, under its own address."""
    (tmp_path / "well-pump.panel").write_bytes((ORCHARD / "well-pump.panel").read_bytes())
    return TestClient(make_app(Bench([tmp_path])), base_url=f"http://{HERE}", follow_redirects=False)


@pytest.mark.parametrize("host", ["panels.example", "127.0.0.1.example:8640", "", "10.0.0.5:8640"])
def test_a_foreign_name_for_this_machine_is_refused(client: TestClient, host: str) -> None:
    """A name that somebody else points at this machine gets nothing, not even the page."""
    assert client.get("/panel/well-pump", headers={"host": host}).status_code == 403


@pytest.mark.parametrize("host", [HERE, "localhost:8640", "[::1]:8640"])
def test_our_own_names_are_served(client: TestClient, host: str) -> None:
    """The three names of this machine itself."""
    assert client.get("/panel/well-pump", headers={"host": host}).status_code == 200


@pytest.mark.parametrize(
    "origin", ["http://panels.example", "", "null", "http://127.0.0.1:8641", "http://localhost:8640"]
)
def test_a_foreign_page_may_not_talk_to_the_bench(client: TestClient, origin: str) -> None:
    """The line is for our own page: Origin has to be the very address that is asked."""
    with pytest.raises(WebSocketDisconnect), client.websocket_connect("/live/well-pump", headers={"origin": origin}):
        pass


def test_our_own_page_may_talk_to_the_bench(client: TestClient) -> None:
    """It gets the whole picture first."""
    with client.websocket_connect("/live/well-pump", headers={"origin": f"http://{HERE}", "host": HERE}) as line:
        first = line.receive_json()

    assert first["whole"]
    assert first["panel"]["title"] == "Orchard well pump"


def test_nothing_can_be_posted_from_elsewhere(client: TestClient) -> None:
    """Changes need our own page; there is no way in beside the line anyway."""
    assert client.post("/panel/well-pump", headers={"origin": "http://panels.example"}).status_code == 403


@pytest.mark.parametrize("path", ["/panel/well-pump", "/look.css", "/page/bench.js", "/nothing"])
def test_every_answer_carries_the_content_policy(client: TestClient, path: str) -> None:
    """No script, style or connection from anywhere else, and no framing."""
    policy = client.get(path).headers["content-security-policy"]

    assert "default-src 'none'" in policy
    assert "unsafe" not in policy
    assert "frame-ancestors 'none'" in policy


def next_with(line: WebSocketTestSession, key: str) -> dict[str, Any]:
    """The next answer that says something about `key`; what the rules found may come between."""
    while key not in (answer := line.receive_json()):
        pass
    return answer


def test_a_wrong_request_is_told_and_nothing_breaks(client: TestClient) -> None:
    """Nonsense on the line gets an answer, and the line stays open."""
    with client.websocket_connect("/live/well-pump", headers={"origin": f"http://{HERE}", "host": HERE}) as line:
        line.receive_json()
        line.send_text('{"ask": "explode"}')
        told = next_with(line, "told")
        line.send_json({"ask": "act", "verb": "press", "targets": ["S2"], "count": 7})
        pressed = next_with(line, "live")

    assert told["told"][0] == "refused"
    assert pressed["echo"] == 7
    assert pressed["live"]["device:S2"][0] == "pressed"


def test_nobody_gets_out_of_the_page_folder(client: TestClient) -> None:
    """Dots in a path lead nowhere."""
    for path in ("/page/../server.py", "/page/%2e%2e/server.py", "/fonts/..%2f..%2fbench/server.py"):
        assert client.get(path).status_code == 404


def test_an_empty_folder_is_said_plainly(tmp_path: Path) -> None:
    """The message says what to do next."""
    with pytest.raises(NoPanels, match="panelwright new"):
        Bench([tmp_path])


def test_the_bench_listens_on_this_machine_alone(bench: Running) -> None:
    """Loopback only; the page comes whole."""
    address = bench.server.servers[0].sockets[0].getsockname()[0]

    assert address == "127.0.0.1"
    assert "<title>" in httpx2.get(bench.panel()).text


def test_vendored_parts_are_the_ones_that_were_built() -> None:
    """Nobody edits a bundle by hand: the bytes are those of the last build."""
    for line in (VENDOR / "HASHES").read_text(encoding="utf-8").splitlines():
        wanted, name = line.split()

        assert hashlib.sha256((VENDOR / name).read_bytes()).hexdigest() == wanted, name
