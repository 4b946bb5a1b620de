"""One panel on the bench: its text, its circuit, one run of it in real time, and the meter.

All pages that show the panel share it. Everything here happens on the event loop, except that a new text is worked
out beside it; what comes out replaces the old circuit in one go.
"""

from __future__ import annotations

import asyncio
import contextlib
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from ..circuit import Fault, Step
from ..telling import in_file_order, problem_values
from . import protocol as ask
from .course import Course
from .files import CannotWrite, FileChanged, PanelFile
from .finding import Finder
from .meter import Probe
from .notebook import Notebook
from .page_view import Page
from .panel_view import in_words, panel_view
from .practising import Practiser
from .proofreading import Proofreader
from .protocol import Shown
from .proving import Prover
from .testing import Tester
from .working import NOTHING_DRAWN, Drawn, Worked, drawn_without, work_out

TICK_S = 0.05
NOTHING_TOLD: list[Any] = []
LOOK_AT_DISK_S = 1.0
KEEP_AFTER_S = 0.3  # typed text goes into the side file after so long without a key
CHECK_AFTER_S = 0.5  # the rules are gone through after so long without a key
PATIENCE_S = 1.5  # a text with mistakes is drawn as far as it goes after so long without a key


class Session:
    """A panel on the bench. Raises OSError when its file cannot be read."""

    def __init__(self, path: Path, name: str, names: tuple[str, ...]) -> None:
        self.file = PanelFile(path)
        self.name = name
        self.names = names
        self.proofreader = Proofreader(self._checked)
        self.pages: set[Page] = set()
        opened = self.file.open()
        self.text = opened.saved if opened.unsaved is None else opened.unsaved
        self.saved_text = opened.saved
        self.edition = 1
        self.worked = self.drawn_work = work_out(self.text, self.name)
        self._waiting: dict[str, asyncio.TimerHandle] = {}
        self.probe = Probe()
        self.course = Course(self.worked)
        self.prover = Prover(self._changed)
        self.finder = Finder(self._changed)
        self.practiser = Practiser(self._changed, self._hide)
        self.notebook = Notebook(self.file)
        self.tester = Tester(self._changed, self.file, self.notebook)
        self._greeting = " ".join(filter(None, (opened.greeting, self.notebook.told)))
        self._checking: asyncio.Task[None] | None = None
        self._say_problems(self.worked)
        self.drawn_from = drawn_without(self.worked)
        self._tasks: set[asyncio.Task[None]] = set()
        self._working: asyncio.Task[None] | None = None
        self._drawing: dict[tuple[int, Shown], asyncio.Task[None]] = {}
        self.panel = panel_view(self.worked, self.name, self.names, self.file.path.name)

    # -- what the pages see ----------------------------------------------------------------------------------------

    def facts(self) -> dict[str, Any]:
        """The plain facts that are compared by value."""
        return {
            "problems": self._problems,
            "trials": self.proofreader.findings.trials,
            "proofs": self.prover.view(),
            "find": self.finder.view(),
            "practice": self.practiser.view(),
            "sheet": self.tester.sheet_view(),
            "results": self.tester.results_view(),
            "built": self.notebook.built(),
            "edition": self.worked.edition,
            "drawnFrom": self.drawn_from,
            "saved": self.text == self.saved_text,
            "clock": self.course.clock(),
            "meter": self.probe.reading(self.course),
        }

    @property
    def live(self) -> Mapping[str, list[Any]]:
        """What can be seen at the panel now; with a hidden fault no more than eyes see."""
        return self.course.seen_by_eyes if self.practiser.is_on else self.course.facts

    @property
    def story(self) -> list[Any]:
        """What happened, told; it would give a hidden fault away."""
        return NOTHING_TOLD if self.practiser.is_on else self.course.story

    @property
    def moves(self) -> list[Any]:
        """What moved when, for the timing diagram."""
        return NOTHING_TOLD if self.practiser.is_on else self.course.moves

    def drawn(self, shown: Shown) -> Drawn | None:
        """A drawing; None while it is being made, which starts when it is first asked for."""
        worked = self.drawn_work
        if shown not in worked.drawings and worked.wiring is not None:
            self._make(worked, shown)
        return worked.drawings.get(shown)

    def _make(self, worked: Worked, shown: Shown) -> asyncio.Task[None]:
        """Draw beside the event loop, each drawing of an edition once."""
        key = (worked.edition, shown)
        if key not in self._drawing:
            task = self._drawing[key] = asyncio.create_task(self._made(worked, shown))
            task.add_done_callback(lambda _: self._drawing.pop(key))
        return self._drawing[key]

    async def _made(self, worked: Worked, shown: Shown) -> None:
        try:
            await asyncio.to_thread(worked.draw, shown)
        except Exception as reason:  # one drawing that cannot be made leaves the others, and the text, alone
            worked.drawings[shown] = NOTHING_DRAWN
            for page in self.pages:
                page.tell("refused", f"This drawing could not be made: {reason}")
        self._changed()

    # -- pages -----------------------------------------------------------------------------------------------------

    def join(self, page: Page) -> None:
        """A page opens; with the first one the clock starts."""
        self.pages.add(page)
        if self._greeting:
            page.tell("told", self._greeting)
        if not self._tasks:
            self.course.wake()
            self._later("check", CHECK_AFTER_S, self._check)
            self._tasks = {asyncio.create_task(self._count_time()), asyncio.create_task(self._watch_disk())}
        page.changed.set()

    def leave(self, page: Page) -> None:
        """A page goes; nobody holds its buttons any more."""
        self.pages.discard(page)
        for tag in sorted(page.held):
            self.course.do("release", (tag,))
        self._changed()
        if not self.pages:
            self._stop()

    async def close(self) -> None:
        """Stop the clock; unsaved text is kept."""
        self._stop()
        if self.text != self.saved_text:
            with contextlib.suppress(CannotWrite):
                self.file.keep(self.text)

    def _stop(self) -> None:
        for task in self._tasks:
            task.cancel()
        self._tasks = set()
        self.proofreader.close()
        self.prover.stop()
        self.finder.stop()
        self.practiser.stop()
        self.tester.stop()
        if "keep" in self._waiting:
            self._keep()

    def _changed(self) -> None:
        for page in self.pages:
            page.changed.set()

    # -- requests --------------------------------------------------------------------------------------------------

    async def answer(self, page: Page, request: ask.Asked) -> None:
        """Do what a page asks for. What is wrong with it is told to that page."""
        page.echo = request.count
        if isinstance(request, ask.Show):
            page.shown = request.drawing
        elif isinstance(request, ask.Act):
            self._act(page, request)
        elif isinstance(request, ask.SkipAhead):
            self.course.skip()
        elif isinstance(request, ask.StartAgain):
            self.course.start_again()
        elif isinstance(request, ask.Prove):
            self.prover.start(self.text, self.name)
        elif isinstance(request, ask.StopProving):
            self.prover.stop()
        elif isinstance(request, ask.Play):
            self._play(page, request)
        elif isinstance(request, ask.Lead | ask.Reads | ask.TakeMeter):
            self._measure(page, request)
        elif isinstance(request, ask.Find | ask.Tell | ask.Found | ask.Without | ask.Suppose):
            self.finder.take(request, self.text, self.name, self.tester)
        elif isinstance(request, ask.Hide | ask.Guess | ask.LeaveTask):
            self.practiser.take(request, self.text, self.name)
        elif isinstance(request, ask.OpenSheet | ask.SheetHead | ask.Enter | ask.KeepResults | ask.NewSheet):
            await self.tester.take(request, self.text, self.name)
        elif isinstance(request, ask.Tick | ask.Untick):
            why_not = self.notebook.take(request)
            if why_not:
                page.tell("refused", why_not)
        elif isinstance(request, ask.Edit):
            self._edit(page, request.text, request.edition)
        elif isinstance(request, ask.Save):
            self._save(page, over=request.over)
        elif isinstance(request, ask.TakeFile):
            self._take_file(page)
        self._changed()

    def _act(self, page: Page, request: ask.Act) -> None:
        why_not = self.course.do(request.verb, request.targets, request.value)
        if why_not:
            page.tell("refused", why_not)
            return
        if request.verb == "press":
            page.held |= set(request.targets)
        elif request.verb == "release":
            for one in self.pages:
                one.held -= set(request.targets)
        self._note_reading()

    def _play(self, page: Page, request: ask.Play) -> None:
        """Start again and do the steps of a trial, or those that break a promise; that ends practising."""
        self.practiser.stop()
        steps: tuple[Step, ...] = ()
        if request.of == "trial" and request.index < len(self.drawn_work.circuit.trials):
            steps = self.drawn_work.circuit.trials[request.index].steps
        elif request.of == "proof" and request.index < len(self.prover.answers):
            steps = self.prover.answers[request.index].steps
        why_not = self.course.play(steps)
        if why_not:
            page.tell("refused", why_not)

    def _measure(self, page: Page, request: ask.Lead | ask.Reads | ask.TakeMeter) -> None:
        if isinstance(request, ask.Lead):
            self.probe.put(request.which, request.at)
        elif isinstance(request, ask.Reads):
            self.probe.set_to(request.what)
        else:
            try:
                self.probe.take(request.name)
            except KeyError:
                page.tell("refused", f"There is no meter called {request.name}.")
        self._note_reading()

    def _note_reading(self) -> None:
        """A reading that a learner takes counts, whether he wanted it or not."""
        shown = self.probe.shown(self.course) if self.practiser.is_on else None
        if shown is not None:
            probe = self.probe
            self.practiser.read(shown, probe.red, probe.black, probe.meter.name, self.course.steps_done)

    def _hide(self, faults: tuple[Fault, ...]) -> None:
        """Start anew with these faults in the panel; with none it is sound again."""
        self.course.hide(faults)

    # -- the text --------------------------------------------------------------------------------------------------

    def _edit(self, page: Page | None, text: str, edition: int) -> None:
        self.text = text
        self.edition = max(self.edition + 1, edition)
        if page is not None and edition == self.edition:
            page.has_text(edition)
        self._later("keep", KEEP_AFTER_S, self._keep)
        if self._working is None or self._working.done():
            self._working = asyncio.create_task(self._work())

    async def _work(self) -> None:
        """Work the newest text out; what was typed meanwhile is worked out next, what lies between is skipped."""
        while self.worked.edition != self.edition:
            self.prover.text_changed()
            self.finder.text_changed()
            self.tester.text_changed()
            self.practiser.stop()
            text, edition, before = self.text, self.edition, self.drawn_work
            self.worked = await asyncio.to_thread(work_out, text, self.name, edition=edition, before=before)
            self._say_problems(self.worked)
            self._later("check", CHECK_AFTER_S, self._check)
            half_done = self.worked.why_not or (self.worked.has_mistakes and self.worked.circuit != before.circuit)
            if half_done and before.wiring is not None:
                # A text that is being typed keeps its last good drawing; once the keys rest, what can be read is drawn.
                self.drawn_from = "Drawn from the last text without mistakes."
                self._later("draw", PATIENCE_S, self._draw_as_far)
            else:
                await self._draw(self.worked)
            self._changed()

    def _draw_as_far(self) -> None:
        if self._working is None or self._working.done():
            self._working = asyncio.create_task(self._draw(self.worked, then_work=True))

    async def _draw(self, worked: Worked, *, then_work: bool = False) -> None:
        """Show a text: first its drawing, then its panel, worked as far as the old one was."""
        self.drawn_from = drawn_without(worked)
        if worked.wiring is not None or self.drawn_work.wiring is None:
            same = worked.network is not None and worked.network is self.drawn_work.network
            self.drawn_work = worked
            if same:
                self.panel = {**self.panel, **in_words(worked)}
            else:
                self.panel = panel_view(worked, self.name, self.names, self.file.path.name)
            shown = {page.shown for page in self.pages if page.shown is not None}
            await asyncio.gather(*(self._make(worked, one) for one in shown))
            await self._work_the_same(worked)
        self._changed()
        if then_work:
            await self._work()

    async def _work_the_same(self, worked: Worked) -> None:
        """Put the new circuit through what was done with the old one, also what was done meanwhile."""
        before, count = self.course, len(self.course.done)
        course = await asyncio.to_thread(before.on, worked)
        if course is not before:
            course.do_again(before.done[count:], before.now)
        self.course = course

    def _check(self) -> None:
        """Let the rules look at the newest text, and try its trials."""
        self.proofreader.read(self.worked.text, self.name)

    def _checked(self) -> None:
        self._say_problems(self.worked)
        self._changed()

    def _say_problems(self, worked: Worked) -> None:
        """Problems of the text; those that the rules found stand until they have looked again."""
        found = (*worked.problems, *(() if worked.has_mistakes else self.proofreader.findings.problems))
        self._problems = [problem_values(problem) for problem in in_file_order(dict.fromkeys(found))]

    def _later(self, what: str, seconds: float, do: Any) -> None:
        if what in self._waiting:
            self._waiting[what].cancel()

        def does() -> None:
            self._waiting.pop(what, None)
            do()

        self._waiting[what] = asyncio.get_running_loop().call_later(seconds, does)

    def _keep(self) -> None:
        if "keep" in self._waiting:
            self._waiting.pop("keep").cancel()
        try:
            if self.text == self.saved_text:
                self.file.forget()
            else:
                self.file.keep(self.text)
        except CannotWrite as reason:
            for page in self.pages:
                page.tell("refused", str(reason))

    def _save(self, page: Page, *, over: bool) -> None:
        try:
            self.file.save(self.text, over=over)
        except FileChanged as clash:
            page.tell("clash", f"{clash} Save over it, or take the file as it is now?")
        except CannotWrite as reason:
            page.tell("refused", str(reason))
        else:
            self._greeting = ""
            self.saved_text = self.text
            page.tell("told", f"{self.file.path.name} is saved.")

    def _take_file(self, page: Page) -> None:
        try:
            self.saved_text = self.file.reopen()
        except OSError as reason:
            page.tell("refused", f"{self.file.path.name} cannot be read: {reason.strerror}. Your text is kept.")
            return
        self._greeting = ""
        self._edit(None, self.saved_text, 0)
        self._keep()

    # -- time ------------------------------------------------------------------------------------------------------

    async def _count_time(self) -> None:
        while True:
            await asyncio.sleep(TICK_S)
            if self.course.tick():
                self._changed()

    async def _watch_disk(self) -> None:
        """A file that something else writes is taken over, unless there is unsaved text here."""
        while True:
            await asyncio.sleep(LOOK_AT_DISK_S)
            if self.text != self.saved_text or not self.file.changed_on_disk() or not self.file.path.exists():
                continue
            with contextlib.suppress(OSError):
                self.saved_text = self.file.reopen()
                self._edit(None, self.saved_text, 0)
                for page in self.pages:
                    page.tell("told", f"{self.file.path.name} was changed on disk and read again.")
                self._changed()
