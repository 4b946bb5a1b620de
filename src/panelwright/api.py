"""The calls of the library, one for each command; `import panelwright as pw` offers them.

Heavy parts are imported inside the calls, so that importing Panelwright costs next to nothing.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Literal

from .explaining import explain as explain
from .explaining import explained as explained

if TYPE_CHECKING:
    from .behaviour import PanelState, Run, Trace, TrialResult
    from .behaviour.proof.proving import Proof
    from .behaviour.telling import Sentence
    from .circuit import Circuit, Problem, Step
    from .faults import CircuitFault
    from .faults.effects import EffectTable
    from .finding import Judgement, Search, Sheet, Tree
    from .finding.practice import Practice
    from .finding.telling_readings import Table
    from .language import Reading
    from .records import Kept, Line
    from .sheets import Drawing, Looks
    from .sizing import SizingSheet
    from .sizing.choosing import Choice
    from .sizing.parts_list import PartsList
    from .sizing.stock import Stock
    from .wiring import Changes, Wiring


def read(text: str | bytes, name: str = "panel") -> Reading:
    """Read a panel file's text. Never raises on bad text: the problems are in the reading."""
    from .circuit.circuit import show_with
    from .language import read as read_text

    show_with(lambda circuit: draw(circuit).svg(fonts=True))
    return read_text(text, name=name)


def read_file(path: str | Path) -> Reading:
    """Read a panel file. Raises: OSError when the file cannot be read."""
    path = Path(path)
    return read(path.read_bytes(), path.name)


def check(circuit: Circuit) -> tuple[Problem, ...]:
    """The mistakes on the drawing board, in file order."""
    from .checks import check as check_circuit

    return check_circuit(circuit)


def try_trials(circuit: Circuit) -> tuple[TrialResult, ...]:
    """The trials of the circuit, run from rest, in file order."""
    from .behaviour import try_trials as try_all

    return try_all(circuit)


def read_steps(steps: str, circuit: Circuit) -> tuple[tuple[Step, ...], tuple[Problem, ...]]:
    """Trial steps typed by hand ("press S2; wait 2 s; expect K1 in"), and their problems."""
    from .language import read_steps as read_typed

    return read_typed(steps, circuit)


def work(circuit: Circuit, steps: Iterable[Step]) -> tuple[Run, TrialResult]:
    """Take steps from rest: the run as it stands then, and whether all was as expected and nothing unexpected."""
    from .behaviour import try_steps

    return try_steps(wire(circuit), steps)


def readings(
    circuit: Circuit,
    states: Sequence[str] = (),
    *,
    between: tuple[str, str] | None = None,
    meter: str = "digital",
    lifted: str = "",
    faulty: bool = False,
) -> Table:
    """What a meter should read in each situation ("S2 held", "power off"), rung by rung or between two places.

    `lifted`: a terminal whose leads are off. `faulty`: also what faults would make of it.
    Raises: ValueError (with what would be understood) for unknown places, situations and meters.
    """
    from .finding import meter_called
    from .finding.telling_readings import readings_table

    return readings_table(wire(circuit), tuple(states), between, meter_called(meter), lifted, faulty)


def test_sheet(circuit: Circuit, kind: Literal["cold", "live"]) -> Sheet:
    """A sheet for testing a panel: cold, every wire and every single wiring mistake; live, every contact both ways."""
    from .finding import cold_sheet, live_sheet

    return cold_sheet(wire(circuit)) if kind == "cold" else live_sheet(wire(circuit))


def test_sheet_pages(
    circuit: Circuit, sheets: Iterable[Sheet], *, paper: str = "A4", from_file: str = ""
) -> tuple[Drawing, ...]:
    """Test sheets as pages to print, each in its frame, on upright A4, or letter for North American papers."""
    from .sheets.pack import test_sheets_of

    return test_sheets_of(wire(circuit), sheets, paper=paper, from_file=from_file)


def judge_results(circuit: Circuit, kind: Literal["cold", "live"], results: Mapping[int, str]) -> Judgement:
    """Results of a test sheet by line number ("ok", "24 V", "open"); what failed goes on to a search for its cause."""
    from .finding import judge

    return judge(wire(circuit), test_sheet(circuit, kind), results)


def keep_results(panel_file: str | Path, kind: Literal["cold", "live"], judgement: Judgement, **about: str) -> int:
    """Keep judged results in the records beside the panel file; the number they get.

    `about`: panel, by, meter, date. Raises: OSError, ValueError when the records cannot be read.
    """
    from .language.lines import decode
    from .records import Line, Records, Sitting, beside

    path = Path(panel_file)
    done = (one for one in judgement.lines if one.verdict != "not done")
    lines = tuple(Line(one.number, one.line.do, one.line.expect, one.result, one.verdict) for one in done)
    text = decode(path.read_bytes())[0]
    return Records(beside(path)).add(Sitting(kind, lines=lines, **about), text)


def kept_results(panel_file: str | Path) -> tuple[Kept, ...]:
    """What was kept of a panel's tests, in order of time. Raises: OSError, ValueError when it cannot be read."""
    from .records import Records, beside

    return Records(beside(Path(panel_file))).all()


def last_results(kept: Sequence[Kept]) -> tuple[Line, ...]:
    """The last result of every line of every panel and sheet."""
    from .records import last_results as last_of

    return last_of(kept)


def find(
    circuit: Circuit,
    seen: Iterable[str] = (),
    readings: Iterable[str] = (),
    *,
    changed: Iterable[str] = (),
    new: bool = False,
    meter: str = "digital",
    live: bool = True,
) -> Search:
    """A search for a fault: `ranking`, `groups` and `proposals` follow from what is seen and read.

    `changed`: what changed before it failed ("K1 was replaced"). `new`: the panel was just wired or altered.
    Raises: ValueError with what would be understood.
    """
    from .finding import Search

    search = Search.of(circuit, new=new, meter=meter, live=live)
    for words in changed:
        search = search.changed(words)
    for words in seen:
        search = search.see(words)
    for words in readings:
        search = search.read(words)
    return search


def find_tree(search: Search, depth: int = 4) -> Tree:
    """Every test that may come, in advance: a tree at most `depth` tests deep.

    Raises: ValueError when nothing is known yet, or for a depth out of range.
    """
    from .finding import tree_of

    return tree_of(search, depth)


def find_tree_pages(tree: Tree, *, paper: str = "A4", from_file: str = "") -> tuple[Drawing, ...]:
    """A tree as pages to print, each in its frame, on upright A4, or letter for North American papers."""
    from .sheets.pack import find_tree_of

    return find_tree_of(tree.search.wiring, tree, paper=paper, from_file=from_file)


def practice_tasks(
    circuit: Circuit, tasks: int = 3, *, seed: int = 1, difficulty: Literal["easy", "middle", "hard"] | None = None
) -> tuple[Practice, ...]:
    """Hidden faults for a class; the same seed gives the same ones.

    Raises: ValueError when no fault of that difficulty shows itself.
    """
    from .finding.practice import tasks_for

    return tasks_for(wire(circuit), tasks, seed, difficulty)


def practice_pages(
    tasks: Sequence[Practice], *, seed: int = 1, answers: bool = False, paper: str = "A4", from_file: str = ""
) -> tuple[Drawing, ...]:
    """A worksheet of hidden faults, or its answers, as pages to print, each in its frame, on upright paper."""
    from .sheets.pack import practice_of

    return practice_of(tasks, seed, answers, paper=paper, from_file=from_file)


def story_of(trace: Trace) -> tuple[Sentence, ...]:
    """What happened in a run or a trial, one sentence for each thing done and each time that ran out."""
    from .behaviour.telling import told

    return told(trace)


def prove(
    circuit: Circuit,
    *,
    seconds: float = 20.0,
    cache: Path | None = None,
    progress: Callable[[str], None] | None = None,
) -> Iterator[Proof]:
    """The promises of the circuit and those that every circuit owes, over every state that it can reach.

    `seconds`: at most, for each promise. `cache`: folder of answers from other times, used and added to; none by
    default. `progress`: told, in words, what is being proved. Raises: Contradiction when the assumptions exclude every
    state.
    """
    from .behaviour.proof.remembering import Memory
    from .faults.proving import prove_promises

    memory = Memory(cache) if cache is not None else None
    return prove_promises(wire(circuit), seconds=seconds, memory=memory, progress=progress)


def fault_list(circuit: Circuit) -> tuple[CircuitFault, ...]:
    """Everything that can be wrong with a panel, one at a time: what breaks, is wired wrong, or lies in between."""
    from .faults import fault_list as list_faults

    return list_faults(wire(circuit))


def fault_effects(
    circuit: Circuit,
    faults: Sequence[CircuitFault] | None = None,
    *,
    seconds: float = 3.0,
    cores: int = 1,
    over: str = "",
    progress: Callable[[int, int], None] | None = None,
) -> EffectTable:
    """What becomes of every promise with every single fault, the most dangerous first.

    `faults`: by default all. `seconds`: at most, for one promise with one fault. `cores`: processes, 0 for all.
    `over`: address of a dask.distributed scheduler. Raises: OSError, ImportError, RuntimeError.
    """
    from .faults.spread import effect_table

    return effect_table(wire(circuit), faults, seconds=seconds, cores=cores, over=over, progress=progress)


def wire(circuit: Circuit) -> Wiring:
    """Contacts allotted, nets numbered, wires named and put in order of work."""
    from .wiring import wire as wire_circuit

    return wire_circuit(circuit)


def size(circuit: Circuit) -> SizingSheet:
    """Conductors, protection, contactors, supplies, heat and short-circuit rating, each with its rule and arithmetic.

    What the file does not tell stands in `SizingSheet.missing`; the rest is sized.
    Single questions are functions of `panelwright.sizing`.
    """
    from .sizing.sheet import size as size_panel

    return size_panel(wire(circuit))


def size_pages(circuit: Circuit, sheet: SizingSheet, *, paper: str = "A4", from_file: str = "") -> tuple[Drawing, ...]:
    """A sizing sheet as pages to print, each in its frame, on upright A4, or letter for North American papers."""
    from .sheets.pack import sizing_sheets_of

    return sizing_sheets_of(wire(circuit), sheet, paper=paper, from_file=from_file)


def parts(circuit: Circuit, *, spares: bool = True) -> PartsList:
    """What a panel is made of: generic descriptions with the ratings asked for."""
    from .sizing.purchase import parts_list

    return parts_list(wire(circuit), spares=spares)


def parts_pages(
    circuit: Circuit, parts: PartsList, choice: Choice | None = None, *, paper: str = "A4", from_file: str = ""
) -> tuple[Drawing, ...]:
    """A parts list, with what was chosen for it, as pages to print, on upright A4 or letter."""
    from .sheets.pack import parts_sheets_of

    return parts_sheets_of(wire(circuit), parts, choice, paper=paper, from_file=from_file)


def choose_parts(circuit: Circuit, parts: PartsList, stock: Stock) -> Choice:
    """The cheapest parts of a stock list (`sizing.read_stock`) that fit; of the rest, what the nearest ones lack."""
    from .sizing.purchase import chosen

    return chosen(wire(circuit), parts, stock)


def changes(built: Circuit, wanted: Circuit) -> Changes:
    """What to take out, move, put in and label anew, so that a panel built from one circuit becomes the other."""
    from .wiring import changes as changes_between
    from .wiring import rewire

    before = wire(built)
    return changes_between(before, rewire(wanted, before))


def tidy(reading: Reading) -> str:
    """The text of a panel file in its canonical layout, comments included."""
    from .language import write

    return write(reading.document)


def draw(
    circuit: Circuit,
    of: Literal["rungs", "power", "connections"] = "rungs",
    *,
    symbols: Literal["IEC", "NA"] | None = None,
    upright: bool | None = None,
    behind: bool = False,
    state: PanelState | None = None,
) -> Drawing:
    """A drawing of the control circuit, the power circuit, or the connections from terminal to terminal.

    `symbols`: by default what the file says. `upright`: paths from top to bottom, by default for power alone.
    `behind`: connections as seen from behind the plate or the door. `state`: of a run ("work"); drawn with volts and
    moved contacts; at rest and without power by default. `Drawing.svg(theme)` writes it.
    Raises: ValueError when the circuit has no power paths and they are wanted.
    """
    from .sheets import connection_drawing, power_drawing, rung_drawing, shown_as

    wiring = wire(circuit)
    if of == "connections":
        return connection_drawing(wiring.circuit, wiring, behind=behind)
    live = state is not None
    drawer = rung_drawing if of == "rungs" else power_drawing
    turned = of == "power" if upright is None else upright
    drawing = drawer(wiring.circuit, standard=symbols, upright=turned, live=live, numbers=wiring.numbers)
    if drawing is None:
        raise ValueError("there are no power paths in it")
    return shown_as(drawing, looks_in(wiring, state)) if state else drawing


def draw_course(course: Trace, title: str = "") -> Drawing:
    """The timing diagram of a run or trial: everything that moved, told in words below."""
    from .sheets.courses import course_drawing

    return course_drawing(course, title=title)


def sheet_pack(circuit: Circuit, *, paper: str = "", from_file: str = "") -> tuple[Drawing, ...]:
    """The printable pack: rungs, power circuit, connections, wire list, labels and test sheets, each in its frame.

    `paper`: the smallest, one of `panelwright.sheets.PAPERS`; "" is A3, and A4 for drawings with room on it. A drawing
    that needs more gets the next larger one, and lists stand on A4 or letter.
    """
    from .sheets.pack import sheets_of

    return sheets_of(wire(circuit), paper=paper, from_file=from_file)


def pdf(drawings: Iterable[Drawing], theme: str = "print") -> bytes:
    """Drawings as PDF pages at true scale, one page each."""
    from .sheets.pdf import write_pdf

    return write_pdf(tuple(drawings), theme=theme)


def looks_in(wiring: Wiring, state: PanelState) -> Looks:
    """How every conductor and device of a drawing looks in a state."""
    from .bench.live import Board
    from .sheets import looks_of

    return looks_of(wiring.circuit, Board(wiring).live_state(state))


def open_bench(paths: Iterable[str | Path], *, port: int | None = None, open_browser: bool = True) -> None:
    """Serve the bench for panel files and folders on this machine alone, until Ctrl+C.

    Raises: OSError when the port is in use or a path is not there.
    """
    from .bench.server import serve

    serve([Path(path) for path in paths], port=port, open_browser=open_browser)


def ready_circuits() -> Path:
    """The folder of circuits that come with Panelwright: `orchard` is the demo, `circuits` are published ones."""
    packed = Path(__file__).parent / "examples"
    return packed if packed.is_dir() else Path(__file__).parents[2] / "examples"
