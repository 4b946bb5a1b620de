"""The bench is killed in the middle of the work: nothing that was typed is lost."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from pathlib import Path

from websockets.sync.client import connect

from panelwright.bench.files import PanelFile

from .conftest import ORCHARD


def test_text_typed_before_a_kill_is_kept(tmp_path: Path) -> None:
    """The file is untouched, the typed text lies beside it, and no scrap is left."""
    file = tmp_path / "well-pump.panel"
    file.write_bytes((ORCHARD / "well-pump.panel").read_bytes())
    before = file.read_text(encoding="utf-8")
    bench = subprocess.Popen(
        [sys.executable, "-u", "-m", "panelwright", "bench", str(file), "--no-browser"],
        stdout=subprocess.PIPE,
        text=True,
    )
    assert bench.stdout is not None
    address = bench.stdout.readline().split("http://")[1].split("/")[0]
    with connect(f"ws://{address}/live/well-pump", origin=f"http://{address}", max_size=None) as line:  # type: ignore[arg-type]
        line.recv()
        line.send('{"ask": "edit", "edition": 2, "text": "panel \\"Typed\\"\\n"}')
        until = time.monotonic() + 10
        while not PanelFile(file).side_path.exists() and time.monotonic() < until:
            time.sleep(0.02)
        os.kill(bench.pid, signal.SIGKILL)
    bench.wait()

    assert before == file.read_text(encoding="utf-8")
    assert PanelFile(file).open().unsaved == 'panel "Typed"\n'
