"""How long a technician waits for the page: press to repaint, and keystroke to redrawn circuit.

    python benchmarks/bench_speed.py [STATIONS]      100 stations are 300 rungs

Measured in Chromium, from the event's own time stamp to a message that arrives after the frame in which the change
was painted. Ratios are against an empty round trip (a request that changes nothing, and a frame) in the same run.
"""

from __future__ import annotations

import statistics
import sys
import tempfile
import threading
import time
from pathlib import Path

import uvicorn
from playwright.sync_api import Page, sync_playwright

sys.path.insert(0, str(Path(__file__).parents[1]))
from panelwright.bench.server import Bench, make_app
from tests.conftest import ARGUMENTS, chromium_path

ROUNDS = 25
SHOWN = 5  # stations that surely stand on the first sheet

WAIT = """
window.painted = () => new Promise((done) => requestAnimationFrame(() => {
  const line = new MessageChannel();
  line.port1.onmessage = () => done(performance.now());
  line.port2.postMessage(0);
}));
window.changedIn = (node) => new Promise((done) => {
  const watch = new MutationObserver(() => { watch.disconnect(); done(); });
  watch.observe(node, { subtree: true, childList: true, attributes: true, characterData: true });
});
"""


def panel_text(stations: int) -> str:
    """Start-stop stations, each with three rungs, five devices and a relay."""
    lines = [
        'panel "Packing hall"',
        "supplies",
        "  G1  dc supply  24 V  40 A  rails + -  earthed at -",
        "devices on door",
    ]
    for i in range(1, stations + 1):
        lines += [
            f'  S{2 * i - 1}  pushbutton  red  1 NC  "Stop {i}"',
            f'  S{2 * i}  pushbutton  green  1 NO  "Start {i}"',
            f'  H{2 * i - 1}  lamp  green  LED  24 V dc  "Runs {i}"',
            f'  H{2 * i}  lamp  red  LED  24 V dc  "Stands {i}"',
        ]
    lines.append("devices on plate")
    lines += [f'  K{i}  relay  2 CO  coil 24 V dc  base blade-8  "Belt {i}"' for i in range(1, stations + 1)]
    lines.append("rungs from + to -")
    for i in range(1, stations + 1):
        lines += [
            f'  S{2 * i - 1}.nc  ( S{2 * i}.no | K{i}.no1 )  K{i}.coil  "Belt {i}"',
            f'  K{i}.no  H{2 * i - 1}  "Runs {i}"',
            f'  K{i}.nc  H{2 * i}  "Stands {i}"',
        ]
    return "\n".join(lines) + "\n"


def serve(folder: Path) -> tuple[uvicorn.Server, int]:
    """A bench on a free port."""
    server = uvicorn.Server(uvicorn.Config(make_app(Bench([folder])), port=0, log_level="warning"))
    threading.Thread(target=server.run, daemon=True).start()
    while not server.started:
        time.sleep(0.01)
    return server, server.servers[0].sockets[0].getsockname()[1]


def empty_round_trips(page: Page) -> list[float]:
    """A request that changes a word in the head line alone: what the line and the frame cost by themselves."""
    return [page.evaluate("async () => { const t = performance.now(); await painted(); return await painted() - t }")
            for _ in range(ROUNDS)]  # fmt: skip


def presses(page: Page) -> list[float]:
    """From pointer down on Start to the frame in which its coil is shown in."""
    times = []
    for count in range(ROUNDS):
        times.append(
            page.evaluate(
                """async (i) => {
                  const button = document.querySelector(`[data-control="S${2 * i}"]`);
                  const coil = document.querySelector(`[data-element="K${i}.coil"]`);
                  const seen = changedIn(coil);
                  const event = new PointerEvent("pointerdown", { button: 0, pointerId: 1, bubbles: true });
                  button.setPointerCapture = () => {};
                  button.dispatchEvent(event);
                  await seen;
                  const took = await painted() - event.timeStamp;
                  button.dispatchEvent(new PointerEvent("pointerup", { button: 0, pointerId: 1, bubbles: true }));
                  return took;
                }""",
                count % SHOWN + 1,
            )
        )
        page.wait_for_timeout(100)
        page.locator(f'[data-control="S{2 * (count % SHOWN) + 1}"]').click()
        page.wait_for_timeout(100)
    return times


def keystrokes(page: Page) -> list[float]:
    """From a key in a rung's remark to the frame in which the drawing shows it."""
    page.click('[data-go="text"]')
    if page.locator(".sheets select").count():
        page.select_option(".sheets select", index=page.locator(".sheets option").count() - 1)
    page.wait_for_selector(
        '[data-element="H2.lamp"]', state="detached" if page.locator(".sheets").count() else "attached"
    )
    page.evaluate(
        """() => { document.querySelector('#text-place').shadowRoot.querySelector('.cm-content').focus();
        window.key = 0;
        document.addEventListener('keydown', (event) => { window.key = event.timeStamp; }, true); }"""
    )
    page.keyboard.press("Control+End")
    page.keyboard.press("ArrowLeft")
    page.keyboard.press("ArrowLeft")
    times = []
    for _ in range(ROUNDS):
        page.evaluate("() => { window.seen = changedIn(document.querySelector('#paper')).then(painted) }")
        page.keyboard.press("x")
        times.append(page.evaluate("async () => await window.seen - window.key"))
        page.wait_for_timeout(150)
    return times


def main() -> None:
    """Measure and print."""
    stations = int(sys.argv[1]) if len(sys.argv) > 1 else 100
    with tempfile.TemporaryDirectory() as name, sync_playwright() as playwright:
        (Path(name) / "hall.panel").write_text(panel_text(stations), encoding="utf-8")
        server, port = serve(Path(name))
        chromium = playwright.chromium.launch(executable_path=chromium_path(), args=ARGUMENTS)
        page = chromium.new_page(viewport={"width": 1440, "height": 900})
        page.goto(f"http://127.0.0.1:{port}/panel/hall")
        page.wait_for_selector("#paper svg", timeout=60_000)
        page.evaluate(WAIT + ";0")
        base = statistics.median(empty_round_trips(page))
        print(f"{3 * stations} rungs, {page.evaluate('document.querySelectorAll(`#paper svg *`).length')} elements")
        print(f"{'two empty frames':32} {base:7.1f} ms    1.0")
        for what, measure in (("press to repaint", presses), ("keystroke to redrawn circuit", keystrokes)):
            times = measure(page)
            middle, slow = statistics.median(times), sorted(times)[int(len(times) * 0.95) - 1]
            print(f"{what:32} {middle:7.1f} ms  {middle / base:5.1f}   (19 of 20 within {slow:.0f} ms)")
        chromium.close()
        server.should_exit = True


if __name__ == "__main__":
    main()
