"""The parts list, and the cheapest choice from a stock list: the least money by trying everything, clear troubles."""

from __future__ import annotations

import csv
import io
import subprocess
from itertools import product
from math import ceil
from pathlib import Path

import pytest
from click.testing import CliRunner
from hypothesis import given, settings
from hypothesis import strategies as st
from openpyxl import load_workbook

import panelwright as pw
from panelwright.circuit import Circuit
from panelwright.cli import main
from panelwright.sizing.choosing import Choice, choose
from panelwright.sizing.parts_list import PartLine, PartsList
from panelwright.sizing.stock import Stock, StockPart, read_stock

EXAMPLES = Path(__file__).parents[2] / "examples"
PUMP = EXAMPLES / "orchard" / "well-pump.panel"
HEAD = "name,part,price,pack,have\n"


def circuit_of(name: str) -> Circuit:
    """The circuit of an example."""
    (path,) = EXAMPLES.rglob(f"{name}.panel")
    return pw.read_file(path).circuit


def chosen(circuit: Circuit, stock: str, *, spares: bool = False) -> Choice:
    """What is chosen from a CSV text without troubles."""
    read = read_stock(stock, "stock.csv", circuit)
    assert not read.troubles
    return pw.choose_parts(circuit, pw.parts(circuit, spares=spares), read)


def test_the_list_of_the_well_pump() -> None:
    """What the technician of a start-stop circuit has to lay out on the bench."""
    lines = {line.description: line for line in pw.parts(circuit_of("well-pump"), spares=False).lines}

    assert {name: line.quantity for name, line in lines.items()} == {
        "dc supply 24 V 2.5 A": 1, "pushbutton red 1 NC": 1, "pushbutton green 1 NO": 1, "lamp green 24 V dc LED": 1,
        "lamp red 24 V dc LED": 1, "relay 2 CO coil 24 V dc base blade-8": 1, "base blade-8": 1, "wire": 11,
        "wire marker": 22,
    }  # fmt: skip
    assert lines["pushbutton red 1 NC"].asked == ("contacts DC-13 0.0375 A at 24 V (R150) or better",)
    assert lines["relay 2 CO coil 24 V dc base blade-8"].tags == ("K1",)


def test_spares_are_counted_apart() -> None:
    """One lamp of each, half of the fuse links, at least one."""
    lines = {line.description: line for line in pw.parts(circuit_of("cold-store-fan")).lines}

    assert (lines["lamp green 230 V ac"].quantity, lines["lamp green 230 V ac"].spares) == (1, 1)
    assert (lines["fuse link 1 A"].quantity, lines["fuse link 1 A"].spares) == (2, 1)


@pytest.mark.parametrize("path", sorted(EXAMPLES.rglob("*.panel")), ids=lambda path: path.stem)
def test_a_list_is_filled_by_itself(path: Path) -> None:
    """Every description reads back as a line of a stock list, and fits the devices that it was made from."""
    circuit = pw.read_file(path).circuit
    parts = pw.parts(circuit)
    out = io.StringIO()
    table = csv.writer(out, lineterminator="\n")
    table.writerow(("name", "part", "price"))
    for number, line in enumerate(parts.lines):
        rated = "" if not line.devices or not any("contacts" in one for one in line.asked) else " rated A600 N600"
        table.writerow((f"P{number}", f"{line.description}{rated}", "1"))
    read = read_stock(out.getvalue(), "stock.csv", circuit)
    choice = pw.choose_parts(circuit, parts, read)

    assert not read.troubles
    assert choice.whole, [one.why for one in choice.filled if one.lacks]
    assert choice.price == sum(line.pieces for line in parts.lines)


def test_a_head_and_blocks_from_a_pack_may_be_cheaper() -> None:
    """Two stations of three buttons: blocks come in packs of five, whole buttons cost more than heads."""
    panel = """panel "Six buttons"
  symbols IEC

supplies
  G1  dc supply  24 V  1 A  rails + -

devices on door
  S1  pushbutton  red    1 NO
  S2  pushbutton  red    1 NO
  S3  pushbutton  green  2 NO
  H1  lamp  24 V dc

rungs from + to -
  S1.no  S2.no  S3.no1  S3.no2  H1
"""
    stock = (
        HEAD
        + """whole red,pushbutton red 1 NO,9,1,0
head red,pushbutton red,4,1,0
head green,pushbutton green,4,1,0
blocks,contact block 1 NO rated A600,11,5,0
"""
    )
    choice = chosen(pw.read(panel).circuit, stock)
    bought = {one.part.name: (one.pieces, one.packs) for one in choice.bought}

    assert bought == {"head red": (2, 2), "head green": (1, 1), "blocks": (4, 1)}
    assert choice.price == 3 * 4 + 11


def test_what_does_not_fit_is_explained_by_its_ratings() -> None:
    """Wrong coil volts, wrong colour, too few contacts, too weak contacts, another base: each is said."""
    stock = (
        HEAD
        + """slow,relay 2 CO coil 110 V dc base blade-8,5,1,0
weak,pushbutton green 1 NO rated E150,4,1,0
yellow,lamp yellow LED 24 V dc,3,1,0
small,dc supply 24 V 1 A,30,1,0
"""
    )
    why = {one.line.description: " ".join(one.why) for one in chosen(circuit_of("well-pump"), stock).filled}

    assert "coil 110 V dc and not 24 V dc" in why["relay 2 CO coil 24 V dc base blade-8"]
    assert "contacts rated E150 do not make 0.0375 A" in why["pushbutton green 1 NO"]
    assert "colour yellow and not green" in why["lamp green 24 V dc LED"]
    assert "rated current 1 A and not 2.5 A" in why["dc supply 24 V 2.5 A"]
    assert why["base blade-8"] == 'nothing in the list is called "base blade-8"'


def test_more_contacts_and_more_amperes_will_do() -> None:
    """A relay needs its contacts under the same numbers; a supply may give more."""
    stock = (
        HEAD
        + """R,relay 2 CO coil 24 V dc base blade-8 with diode,5,1,0
G,dc supply 24 V 5 A,60,1,0
B,pushbutton green 2 NO,4,1,0
"""
    )
    filled = {one.line.description: one for one in chosen(circuit_of("well-pump"), stock).filled}

    assert filled["relay 2 CO coil 24 V dc base blade-8"].taken == (("R", 1),)
    assert filled["dc supply 24 V 2.5 A"].taken == (("G", 1),)
    assert filled["pushbutton green 1 NO"].taken == (("B", 1),)


PRICES = st.integers(1, 9)


@settings(max_examples=60, deadline=None)
@given(st.data())
def test_the_choice_costs_the_least(data: st.DataObject) -> None:
    """Against trying every number of packs of up to three parts with two lines to fill."""
    needs = [data.draw(st.integers(0, 5)), data.draw(st.integers(1, 5))]
    lines = tuple(PartLine(name, need) for name, need in zip(("terminal 1", "terminal 2"), needs, strict=True))
    offered = [
        StockPart(f"P{at}", data.draw(st.sampled_from(["terminal 1", "terminal 2"])), float(data.draw(PRICES)),
                  data.draw(st.integers(1, 4)), data.draw(st.integers(0, 2)))
        for at in range(3)
    ]  # fmt: skip
    choice = choose(PartsList("", lines), Stock(tuple(offered)), {})

    best = None
    for packs in product(range(6), repeat=3):
        room = {line.description: 0 for line in lines}
        for count, part in zip(packs, offered, strict=True):
            room[part.part] += part.have + count * part.pack
        filled = sum(min(line.quantity, room[line.description]) for line in lines)
        price = sum(count * (part.price or 0) for count, part in zip(packs, offered, strict=True))
        if best is None or (-filled, price) < best:
            best = (-filled, price)
    assert best is not None
    assert sum(one.line.pieces - one.lacks for one in choice.filled) == -best[0]
    assert choice.price == pytest.approx(best[1])


def test_pieces_at_hand_cost_nothing_and_packs_are_whole() -> None:
    """Five needed, two at hand, packs of two: two packs."""
    offered = StockPart("T", "terminal", 3.0, pack=2, have=2)
    choice = choose(PartsList("", (PartLine("terminal", 5),)), Stock((offered,)), {})
    (bought,) = choice.bought

    assert (bought.pieces, bought.from_hand, bought.packs, choice.price) == (5, 2, ceil(3 / 2), 6.0)


@pytest.mark.parametrize(
    ("text", "name", "what", "mend"),
    [
        ("", "s.csv", "the stock list is empty", "name,part,price"),
        ("name,prat\n", "s.csv", 'the head of the list has no column "prat"', "write part instead"),
        ("name,part,part\n", "s.csv", "the head of the list has the column part twice", "take one of them out"),
        ("name,price\n", "s.csv", "the head of the list lacks the column part", "name,part,price"),
        (HEAD + "A,lamp red LED 24 V dc,inf,1,0\n", "s.csv", 'price of A is "inf"', "plain number"),
        (HEAD + "A,lamp red LED 24 V dc,nan,1,0\n", "s.csv", 'price of A is "nan"', "plain number"),
        (HEAD + 'A,lamp red LED 24 V dc,"1.234,50",1,0\n', "s.csv", 'price of A is "1.234,50"', "1234.50"),
        (HEAD + "A,lamp red LED 24 V dc,3 EUR,1,0\n", "s.csv", 'price of A is "3 EUR"', "sign of the currency"),
        (HEAD + "A,lamp red LED 24 V dc,3,1,1e30\n", "s.csv", 'have of A is "1e30"', "plain number"),
        (HEAD + "A,,3,1,0\n", "s.csv", "A has nothing in the column part", "lamp red 24 V dc"),
        (HEAD + "A,contact blok 1 NO,3,1,0\n", "s.csv", "not understood as a contact block", "contact block 1 NO"),
        (HEAD + "A,contact block 1 NX,3,1,0\n", "s.csv", "not understood as a contact block", "contact block 1 NO"),
        (HEAD + "A,contact block 1 NO ratd A600,3,1,0\n", "s.csv", "not understood as a contact block", "rated A600"),
        (HEAD + "A,lamp red LED 24 V dc,3\n", "s.csv", "this line has 3 cells", "as many as in"),
        (HEAD + ",lamp red LED 24 V dc,3,1,0\n", "s.csv", "this part has no name", "write its name"),
        (HEAD + "A,lamp red LED 24 V dc,cheap,1,0\n", "s.csv", 'price of A is "cheap"', "plain number"),
        (HEAD + "A,lamp red LED 24 V dc,1,0,0\n", "s.csv", 'pack of A is "0"', "plain number"),
        (HEAD + "A,lmap red LED 24 V dc,1,1,0\n", "s.csv", "A: lmap is no kind of device", "lamp"),
        (HEAD + "A,terminal,1,2.5,0\n", "s.csv", 'pack of A is "2.5"', "plain number"),
        (HEAD + "A,terminal,1,1,0\nA,wire marker,1,1,0\n", "s.csv", "the name A is there twice", "another name"),
        ("[[part]\n", "s.toml", "this is no TOML", "[[part]]"),
        ('part = "A"\n', "s.toml", "there are no parts in it", "[[part]]"),
        ('[[part]]\nname = "A"\ncolour = "red"\n', "s.toml", 'part 1 has an unknown key "colour"', "name, part"),
    ],
)
def test_troubles_of_a_stock_list(text: str, name: str, what: str, mend: str) -> None:
    """What is wrong, where, and how to mend it; the other parts are read all the same."""
    (trouble,) = read_stock(text, name).troubles

    assert what in trouble.what or what.split(":")[0] in trouble.what
    assert mend in trouble.mend or mend in trouble.what or mend in trouble.why
    assert f"{name}:{trouble.row}: " in trouble.told(name)


def test_semicolons_and_decimal_commas_are_understood() -> None:
    """As a spreadsheet of half of Europe writes them; so is TOML."""
    (part,) = read_stock("name;part;price\nA;lamp red LED 24 V dc;3,50\n").parts
    (same,) = read_stock('[[part]]\nname = "A"\npart = "lamp red LED 24 V dc"\nprice = 3.5\n', "s.toml").parts

    assert (part, same) == (StockPart("A", "lamp red LED 24 V dc", 3.5), StockPart("A", "lamp red LED 24 V dc", 3.5))


def test_a_buyer_is_told_the_volts_and_what_has_to_be_broken() -> None:
    """480 V before the transformer, 120 V behind it, 5 kA of the mains; what is marked needs no asking."""
    conveyor = pw.read_file("examples/orchard/grader-conveyor.panel").circuit
    asked = {line.description: line.asked for line in pw.parts(conveyor).lines}

    assert "used at 480 V ac" in asked["disconnect 3 poles 30 A withstands 10 kA"]
    assert asked["fuse link 1 A"] == ("used at 480 V ac", "breaks 5 kA or more")
    assert asked["fuse link 1.5 A"] == ("used at 120 V ac",)
    assert asked["fuse holder 2 poles"] == ("used at 480 V ac",)
    assert asked["fuse link 15 A withstands 10 kA slow"] == ("used at 480 V ac",)


def test_tabs_part_columns_too() -> None:
    """As a table comes out of the clipboard."""
    (part,) = read_stock("name\tpart\tprice\nA\tlamp red LED 24 V dc\t3.5\n").parts

    assert part == StockPart("A", "lamp red LED 24 V dc", 3.5)


def test_a_name_that_is_near_is_told() -> None:
    """Accessories are compared word for word; what is near is named."""
    stock = Stock((StockPart("M", "wire markers", 2.0),))
    (filled,) = choose(PartsList("", (PartLine("wire marker", 5),)), stock, {}).filled

    assert filled.why == (
        'nothing in the list is called "wire marker"; "wire markers" is near: such parts are compared word for word',
    )


def test_a_list_of_which_nothing_can_be_read_leaves_the_plain_list(tmp_path: Path) -> None:
    """The trouble, then the list as without a store: nothing is lost."""
    stock = tmp_path / "stock.csv"
    stock.write_text("name,prat\nA,lamp\n", encoding="utf-8")
    told = CliRunner().invoke(main, ["parts", str(PUMP), "--stock", str(stock)])

    assert 1 == told.exit_code
    assert "so nothing is chosen from it; this is the list of parts alone." in told.output
    assert "dc supply 24 V 2.5 A" in told.output
    assert "NOT IN THE STOCK LIST" not in told.output


def test_the_command_says_what_is_lacking_and_writes_a_spreadsheet(tmp_path: Path) -> None:
    """Exit code 1 for what a stock list cannot fill, 2 for a list that is not there, 0 for the plain list."""
    stock = tmp_path / "stock.csv"
    stock.write_text(HEAD + "A,lamp red LED 24 V dc,3,1,0\nB,lmap,3,1,0\n", encoding="utf-8")
    run = CliRunner()
    filled = run.invoke(main, ["parts", str(PUMP), "--stock", str(stock), "--xlsx", str(tmp_path)])
    plain = run.invoke(main, ["parts", str(PUMP)])
    lost = run.invoke(main, ["parts", str(PUMP), "--stock", str(tmp_path / "none.csv")])

    assert (filled.exit_code, plain.exit_code, lost.exit_code) == (1, 0, 2)
    assert "NOT IN THE STOCK LIST" in filled.output
    assert "1 part of" in filled.output
    assert "cannot be read" in lost.output
    book = load_workbook(tmp_path / "well-pump-parts.xlsx")
    assert book.sheetnames == ["Parts", "To buy"]
    assert [cell.value for cell in book["Parts"][1]][:3] == ["pieces", "spares", "part"]


def test_the_pages_of_a_list_have_a_box_for_every_line(tmp_path: Path) -> None:
    """Read back from the PDF: every part, what is chosen and the money, on pages of their own frame."""
    stock = tmp_path / "stock.csv"
    stock.write_text(HEAD + "LED,lamp red LED 24 V dc,3,1,0\n", encoding="utf-8")
    result = CliRunner().invoke(main, ["parts", str(PUMP), "--stock", str(stock), "--out", str(tmp_path)])
    words = subprocess.run(
        ["pdftotext", "-layout", str(tmp_path / "well-pump-parts.pdf"), "-"], capture_output=True, text=True, check=True
    ).stdout

    assert "2 pages in" in result.output
    for line in pw.parts(circuit_of("well-pump")).lines:
        assert set(line.description.split()) <= set(words.split())
    assert "together" in words
    assert "Not in the stock list" in words
