"""The page in a browser: what a technician does with it, at three widths."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from .conftest import WIDTHS, Running, wait_js

if TYPE_CHECKING:
    from playwright.sync_api import Page, WebSocketRoute

Opens = Callable[..., "Page"]
AXE = (Path(__file__).parent / "vendor" / "axe.min.js").read_text(encoding="utf-8")
VERBS = ("try", "measure", "wire", "prove", "test", "find", "text", "print")


def says(words: str) -> str:
    """A JavaScript condition: the head line says so."""
    return f"document.getElementById('says').textContent.includes({words!r})"


def hold(page: Page, tag: str) -> None:
    """Put the finger on a button and leave it there."""
    page.locator(f'[data-control="{tag}"]').first.dispatch_event("pointerdown", {"button": 0, "pointerId": 1})


def tap(page: Page, tag: str) -> None:
    """Press a button with the mouse and let it go."""
    page.locator(f'[data-control="{tag}"]').first.click()


def type_text(page: Page, text: str) -> None:
    """Type at the end of the panel file's text."""
    page.click('[data-go="text"]')
    page.locator("#text-place .cm-content").click()
    page.keyboard.press("Control+End")
    page.keyboard.type(text)


@pytest.mark.parametrize("width", WIDTHS)
def test_start_is_pressed_and_the_pump_runs(bench: Running, open_page: Opens, width: str) -> None:
    """Press and release Start: K1 stays in, H1 is lit; both are said in words."""
    page = open_page(bench.panel(), width)
    assert page.inner_text("#says") == "H2 lit"
    tap(page, "S2")
    wait_js(page, "document.getElementById('says').textContent === 'H1 lit, K1 in'")

    assert page.locator('[data-element="K1.coil"] .state-word').text_content() == "in"
    assert page.locator('[data-element="H1.lamp"] .state-word').text_content() == "lit"


@pytest.mark.parametrize("width", WIDTHS)
def test_nothing_is_wider_than_the_window(bench: Running, open_page: Opens, width: str) -> None:
    """The page itself never scrolls sideways; only drawings and lists inside it do."""
    page = open_page(bench.panel("lift-station"), width)
    for verb in VERBS:
        page.click(f'[data-go="{verb}"]')

        assert page.evaluate("document.documentElement.scrollWidth <= innerWidth"), verb


@pytest.mark.parametrize("width", WIDTHS)
def test_what_is_touched_is_at_least_44_pixels(bench: Running, open_page: Opens, width: str) -> None:
    """Every button and list can be hit with a gloved finger."""
    page = open_page(bench.panel("grader-conveyor"), width)
    for verb in VERBS:
        page.click(f'[data-go="{verb}"]')
        small = page.evaluate(
            """() => [...document.querySelectorAll('button, select')].filter(one => one.checkVisibility())
            .map(one => [one.textContent.trim(), one.getBoundingClientRect()])
            .filter(([, box]) => box.width < 44 || box.height < 44)
            .map(([words, box]) => [words, box.width, box.height])"""
        )

        assert [] == small, verb


@pytest.mark.parametrize("sheet", ["light", "dark"])
@pytest.mark.parametrize("width", WIDTHS)
def test_nothing_stands_in_the_way_of_a_screen_reader(bench: Running, open_page: Opens, width: str, sheet: str) -> None:
    """axe-core finds nothing, in any place of work, on the light and the dark sheet."""
    page = open_page(bench.panel(), width, color_scheme=sheet)
    page.evaluate(AXE + ";0")
    for verb in VERBS:
        page.click(f'[data-go="{verb}"]')
        found = page.evaluate("axe.run().then(all => all.violations.map(v => [v.id, v.nodes.map(n => n.html)]))")

        assert [] == found, verb


def test_a_finger_on_the_drawing_presses_the_button(bench: Running, open_page: Opens) -> None:
    """The drawn push-button works like the real one: as long as it is held."""
    page = open_page(bench.panel())
    box = page.locator('[data-element="S2.13-14"]').bounding_box()
    assert box is not None
    page.mouse.move(box["x"] + box["width"] / 2, box["y"] + box["height"] * 0.6)
    page.mouse.down()
    wait_js(page, says("S2 pressed"))
    page.mouse.up()
    wait_js(page, "document.getElementById('says').textContent === 'H1 lit, K1 in'")


def test_everything_works_from_the_keyboard(bench: Running, open_page: Opens) -> None:
    """Space held down holds the button down; let go lets go. Tab alone finds it."""
    page = open_page(bench.panel())
    for _ in range(40):
        page.keyboard.press("Tab")
        if page.evaluate("document.activeElement.dataset?.control") == "S2":
            break
    page.keyboard.down("Space")
    wait_js(page, says("S2 pressed"))
    page.keyboard.up("Space")
    wait_js(page, f"!{says('S2 pressed')}")

    assert "K1 in" in page.inner_text("#says")


def test_a_button_can_be_kept_pressed(bench: Running, open_page: Opens) -> None:
    """Two buttons at once with one finger: one is kept, the other held."""
    page = open_page(bench.panel())
    page.get_by_role("button", name="Keep S1 pressed").click()
    wait_js(page, says("S1 pressed"))
    tap(page, "S2")
    page.get_by_role("button", name="Let S1 go").click()
    wait_js(page, f"!{says('S1 pressed')}")

    assert "K1" not in page.inner_text("#says")


def test_the_meter_reads_what_a_meter_would(bench: Running, open_page: Opens) -> None:
    """24 V across the coil that is in; ohms only with the power off, then the coil's own."""
    page = open_page(bench.panel())
    tap(page, "S2")
    wait_js(page, says("K1 in"))
    page.click('[data-go="measure"]')
    page.select_option("#lead-red", "K1.13")
    page.select_option("#lead-black", "K1.14")
    wait_js(page, "document.getElementById('reading').textContent.startsWith('24 V')")
    page.get_by_role("button", name="ohms").click()
    wait_js(page, "document.getElementById('reading-words').textContent.includes('cut the power')")
    page.click("#power")
    wait_js(page, "document.getElementById('reading').textContent.includes('ohm')")

    assert re.fullmatch(r"\d+ ohm", page.inner_text("#reading"))


def test_a_touch_puts_both_leads_across_a_part(bench: Running, open_page: Opens) -> None:
    """In Measure the drawing takes the leads."""
    page = open_page(bench.panel())
    page.click('[data-go="measure"]')
    box = page.locator('[data-element="H2.lamp"]').bounding_box()
    assert box is not None
    page.mouse.click(box["x"] + box["width"] / 2, box["y"] + box["height"] * 0.55)
    wait_js(page, "document.getElementById('reading').textContent.startsWith('24 V')")

    assert page.input_value("#lead-red") == "H2.X1"
    assert page.locator(".plug-red").count() == 1


def test_a_wire_touched_in_the_list_is_marked_on_the_drawing(bench: Running, open_page: Opens) -> None:
    """One wire, seen in list and drawing."""
    page = open_page(bench.panel())
    page.click('[data-go="wire"]')
    page.locator("table.wires tbody tr td:nth-child(4)").first.click()

    assert page.locator("tr.chosen").count() >= 1
    assert page.locator(".drawing .band").count() >= 1


def test_the_story_and_the_timing_diagram_grow(bench: Running, open_page: Opens) -> None:
    """What happened is told with its reason, and drawn."""
    page = open_page(bench.panel())
    tap(page, "S2")
    wait_js(page, "document.querySelector('.story').textContent.includes('S2 released')")
    story = page.inner_text(".story")

    assert "S2 pressed" in story
    assert "K1 pulls in through" in story
    assert {"S2", "K1", "H1", "H2"} <= set(page.locator(".timing .row-tag").all_text_contents())


def test_a_mistake_is_marked_as_it_is_typed(bench: Running, open_page: Opens) -> None:
    """The problem is told with its line; the drawing stays the last good one and says so."""
    page = open_page(bench.panel())
    type_text(page, "\nrungs from + to -\n  S9.nc  K1.coil")
    wait_js(page, "document.querySelector('.problems')?.textContent.includes('S9')")
    page.wait_for_selector("#text-place .cm-lintRange-error")
    lines = len((bench.folder / "well-pump.panel").read_text(encoding="utf-8").split("\n")) + 2

    assert f"line {lines}" in page.inner_text(".problems")
    assert page.locator(".drawn-from").count() == 1


def test_a_phone_that_is_turned_shows_the_drawing_it_says(bench: Running, open_page: Opens) -> None:
    """Upright while it is narrow, rungs when it lies, and back, although both drawings came long ago."""
    page = open_page(bench.panel(), "phone")
    first = page.get_attribute("#paper svg", "viewBox")
    page.set_viewport_size({"width": 844, "height": 390})
    wait_js(page, f"document.querySelector('#paper svg').getAttribute('viewBox') !== {first!r}")
    page.set_viewport_size({"width": 390, "height": 844})
    wait_js(page, f"document.querySelector('#paper svg').getAttribute('viewBox') === {first!r}")

    assert page.input_value("#sheet-bar select") == "upright"


def test_undoing_ends_at_the_text_as_it_was_opened(bench: Running, open_page: Opens) -> None:
    """However often one undoes, by key or by button, the file never goes; and it counts as saved again."""
    page = open_page(bench.panel())
    type_text(page, "\n# one more")
    wait_js(page, "document.querySelector('.edit-head small').textContent === 'not saved'")
    for _ in range(3):
        page.keyboard.press("Control+z")
        page.get_by_role("button", name="Undo").click()
    wait_js(page, "document.querySelector('.edit-head small').textContent === 'saved'")
    page.get_by_role("button", name="Redo").click()
    wait_js(page, "document.querySelector('.edit-head small').textContent === 'not saved'")

    assert page.inner_text("#title") == "Orchard well pump"


def test_a_new_rung_is_drawn_as_it_is_typed(bench: Running, open_page: Opens) -> None:
    """The circuit follows the text, and what was done so far is done again on the new circuit."""
    page = open_page(bench.panel())
    tap(page, "S2")
    wait_js(page, says("K1 in"))
    type_text(page, '\ndevices on door\n  H9  lamp  white  LED  24 V dc  "Third"\nrungs from + to -\n  K1.no H9\n')
    wait_js(page, "document.querySelector('[data-element=\"H9.lamp\"]')")
    wait_js(page, says("K1 in"))


def test_saving_writes_the_file_and_nothing_before_does(bench: Running, open_page: Opens) -> None:
    """Only Save touches the file; then the side file is gone."""
    file = bench.folder / "well-pump.panel"
    before = file.read_text(encoding="utf-8")
    page = open_page(bench.panel())
    type_text(page, "\n# a remark")
    wait_js(page, "document.title.startsWith('*')")
    assert before == file.read_text(encoding="utf-8")
    page.click("#save")
    wait_js(page, "!document.title.startsWith('*')")

    assert before.rstrip("\n") in file.read_text(encoding="utf-8")
    assert file.read_text(encoding="utf-8").endswith("# a remark")
    assert not (bench.folder / ".panelwright" / "well-pump.panel.unsaved").exists()


def test_a_file_changed_by_something_else_is_not_overwritten_unasked(bench: Running, open_page: Opens) -> None:
    """Both texts are kept until somebody decides."""
    file = bench.folder / "well-pump.panel"
    page = open_page(bench.panel())
    type_text(page, "\n# mine")
    wait_js(page, "document.title.startsWith('*')")
    file.write_text("# theirs\n", encoding="utf-8")
    page.click("#save")
    page.wait_for_selector("#notice .clash")
    assert file.read_text(encoding="utf-8") == "# theirs\n"
    page.get_by_role("button", name="Save over it").click()
    wait_js(page, "!document.title.startsWith('*')")

    assert file.read_text(encoding="utf-8").endswith("# mine")


def test_unsaved_text_comes_back_after_a_restart(bench: Running, open_page: Opens) -> None:
    """The page finds the bench again by itself, and the text is the one that was typed."""
    page = open_page(bench.panel(), allow="WebSocket connection")
    type_text(page, "\n# kept over a restart")
    wait_js(page, "document.title.startsWith('*')")
    bench.stop()
    wait_js(page, "document.body.dataset.up === 'false'")
    bench.start()
    wait_js(page, "document.body.dataset.up === 'true'", 8000)
    again = open_page(bench.panel())
    again.click('[data-go="text"]')

    assert "# kept over a restart" in again.inner_text("#text-place .cm-content")
    assert "not saved last time" in again.inner_text("#notice")


def test_a_page_that_loses_the_line_gets_the_whole_picture_again(bench: Running, open_page: Opens) -> None:
    """Two pages share one panel; one loses its line and comes back to what the other did meanwhile."""
    page, other = open_page(bench.panel()), open_page(bench.panel())
    lines = []

    def between(line: WebSocketRoute) -> None:
        line.connect_to_server()
        lines.append(line)

    page.route_web_socket("**/live/**", between)
    page.reload()
    page.wait_for_selector("#paper svg")
    lines[-1].close()
    wait_js(page, "document.body.dataset.up === 'false'")
    tap(other, "S2")
    wait_js(page, says("K1 in"))

    assert len(lines) == 2
    assert page.locator('[data-element="K1.coil"] .state-word').text_content() == "in"


def test_a_button_held_by_a_page_that_goes_away_is_let_go(bench: Running, open_page: Opens) -> None:
    """Nothing stays pressed by somebody who is no longer there."""
    page, other = open_page(bench.panel()), open_page(bench.panel())
    hold(page, "S1")
    wait_js(other, says("S1 pressed"))
    page.close()
    wait_js(other, f"!{says('S1 pressed')}")


def test_the_dark_sheet_is_remembered(bench: Running, open_page: Opens) -> None:
    """One switch, and the page is dark again after it is loaded anew."""
    page = open_page(bench.panel())
    page.click("#sheet-switch")
    page.reload()
    page.wait_for_selector("#paper svg")

    assert page.evaluate("document.documentElement.dataset.theme") == "dark"
    assert page.evaluate("getComputedStyle(document.getElementById('sheet')).backgroundColor") == "rgb(25, 27, 30)"


def test_no_element_carries_a_style_attribute(bench: Running, open_page: Opens) -> None:
    """The content policy forbids them; what sets one would be silently unstyled."""
    page = open_page(bench.panel())
    for verb in VERBS:
        page.click(f'[data-go="{verb}"]')

    assert page.evaluate("document.querySelectorAll('#head [style], #main > * > [style]').length") == 0


def test_on_paper_there_is_the_drawing_and_no_furniture(bench: Running, open_page: Opens) -> None:
    """Printing shows the sheet, black on white."""
    page = open_page(bench.panel())
    page.emulate_media(media="print")

    assert not page.is_visible("#verbs")
    assert not page.is_visible("#power")
    assert page.is_visible("#paper svg")
    assert page.evaluate("getComputedStyle(document.documentElement).getPropertyValue('--accent').trim()") == "#000000"


def test_trials_run_whenever_the_text_changes(bench: Running, open_page: Opens) -> None:
    """All pass at first; a promise of the file that no longer holds is said with its line."""
    count = (bench.folder / "well-pump.panel").read_text(encoding="utf-8").count("\ntrial ")
    page = open_page(bench.panel())
    wait_js(page, f"document.querySelector('.trials')?.textContent.includes('all {count} pass')")
    type_text(page, '\ntrial "Wrong on purpose"\n  press S2; expect K1 out\n')
    page.click('[data-go="try"]')
    wait_js(page, f"document.querySelector('.trials').textContent.includes('1 of {count + 1} fail')")

    assert "Wrong on purpose" in page.inner_text(".trials .warns")


def test_the_finding_of_a_rule_is_told_with_its_line(bench: Running, open_page: Opens) -> None:
    """Rules look a moment after the last key."""
    page = open_page(bench.panel("grader-conveyor"))
    page.click('[data-go="text"]')
    wait_js(page, "document.querySelector('.problems')?.textContent.includes('earthed rail')")


def test_a_long_panel_is_shown_in_sheets(bench: Running, open_page: Opens) -> None:
    """Forty lines: two sheets; a device chosen in a list turns to its sheet."""
    devices = "".join(f"  S{i}  pushbutton  green  1 NO\n  H{i}  lamp  white  LED  24 V dc\n" for i in range(1, 41))
    rungs = "".join(f"  S{i}.no  H{i}\n" for i in range(1, 41))
    (bench.folder / "well-pump.panel").write_text(
        'panel "Forty lamps"\nsupplies\n  G1  dc supply  24 V  10 A  rails + -  earthed at -\n'
        f"devices on door\n{devices}rungs from + to -\n{rungs}",
        encoding="utf-8",
    )
    page = open_page(bench.panel())
    assert page.locator(".sheets option").all_text_contents() == ["lines 1 to 30", "lines 31 to 40"]
    assert page.locator('[data-element="H40.lamp"]').count() == 0
    page.locator(".answers button", has_text="H40").click()
    page.wait_for_selector('[data-element="H40.lamp"]')

    assert page.locator(".frame-of").count() == 1


@pytest.mark.parametrize("look", ["upright", "connections", "behind"])
def test_every_look_of_the_circuit_is_live(bench: Running, open_page: Opens, look: str) -> None:
    """The same thick conductors in every drawing."""
    page = open_page(bench.panel())
    page.click(f'[data-look="{look}"]')
    wait_js(page, "document.querySelector('#paper [data-net=\"K1.4\"].live')")
    tap(page, "S2")
    wait_js(page, "document.querySelector('#paper [data-net=\"K1.8\"].live')")

    assert page.locator('#paper [data-net="K1.4"].live').count() == 0


def test_the_time_of_a_timer_counts_and_can_be_skipped(bench: Running, open_page: Opens) -> None:
    """A lamp that an on-delay lights after a minute: what is left is said, and nobody has to wait for it."""
    (bench.folder / "well-pump.panel").write_text(
        'panel "Late lamp"\nsupplies\n  G1  dc supply  24 V  2 A  rails + -  earthed at -\n'
        "devices on plate\n  SA1  selector  OFF ON\n  T1  on-delay timer  1 NO  coil 24 V dc  set 60 s\n"
        "  H1  lamp  white  LED  24 V dc\nrungs from + to -\n  SA1.ON  T1.coil\n  T1.no  H1\n",
        encoding="utf-8",
    )
    page = open_page(bench.panel())
    page.locator('[data-control="SA1"][data-value="ON"]').click()
    wait_js(page, "/5\\d\\.\\d s left/.test(document.querySelector('.answers').textContent)")
    page.get_by_role("button", name="Skip ahead").click()
    wait_js(page, says("H1 lit"))

    assert "T1 has run out" in page.inner_text(".story")


def test_promises_are_proved_and_a_broken_one_can_be_tried(bench: Running, open_page: Opens) -> None:
    """Kept ones are said to be kept; the way to break the other is told, and played on the bench."""
    page = open_page(bench.panel())
    type_text(page, "\npromises\n  K1 is never in\n".replace("K1 is never in", "never K1 in"))
    page.click('[data-go="prove"]')
    page.get_by_role("button", name="Prove", exact=True).last.click()
    wait_js(page, "document.querySelector('.proofs').textContent.includes('All answered')", 40_000)
    page.get_by_role("button", name="Try it on the bench").first.click()
    wait_js(page, says("K1 in"))

    assert "kept" in page.inner_text(".proofs")
    assert "never K1 in" in page.inner_text(".proofs .warns")
