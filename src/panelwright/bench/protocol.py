"""What page and bench say to each other, over one WebSocket a page, as JSON.

The page asks; every request is one of the `Request` structs, told apart by "ask". The bench answers when something
changed. It keeps no queue of answers: for each page it remembers what that page was last shown, and sends what
differs now (`Shown`). A slow page so gets fewer, larger answers, and a page that comes back gets everything.

An answer is one object; a key that is absent has not changed:

    panel      title, files, controls, devices, nets, wires, terminals, sheets, ... (`panel_view`), those that changed
    text       text, edition, saved, notice       only when the bench holds another text than the page sent
    edition    the edition of the text that `problems` and `drawings` belong to
    problems   list of problems, as `telling.problem_values` gives them
    trials     list: name, line, passed, seconds, failures (now, message, why, line)
    proofs     state ("", "running", "done", "stopped", "stale", or why not), answers (`proving.answer_of`)
    drawings   {"rungs 0": {"svg": whole} or {"head": tag, "from": i, "drop": n, "put": [pieces]}, ...}
    live       {"net:4": [class, word], "part:K1.13-14": [classes, word], "device:S2": [word, also, busy], ...};
               null: gone
    clock      now (s), running, next (s of the run at which a set time is up, or null), due ({tag: s of the run})
    story      {"from": i, "lines": [[seconds, reason, [what followed, ...], kind], ...]}     sentences i and after
    moves      {"from": i, "moves": [[seconds, tag, operated, word], ...]}     as the story
    meter      red, black, meter, ranges, reads, value, mind
    find       state ("", "thinking", "ready", "stale", or why not) and the search, as `finding.view_of` gives it
    sheet      state ("", "working", "open", "stale", or why not), kind, and the test sheet, as `testing` gives it
    results    about (panel, by, meter, date), entries by line number, counts, told, kept
    built      wire id to [who laid it, who checked it]
    practice   state ("", "hiding", "on", "judging", "judged", or why not), symptom, readings, score; never the fault
    saved      whether the text is that of the file
    drawnFrom  words, when the drawing does not show the text as it stands
    told       [kind, words]: something to say to this page alone
    echo       the number of the newest request that is answered by this
"""

from __future__ import annotations

from typing import Literal

import msgspec

Look = Literal["rungs", "upright", "power", "connections", "behind"]


class Shown(msgspec.Struct, frozen=True):
    """A drawing that a page shows. `sheet`: which stretch of a long one, from 0."""

    look: Look = "rungs"
    sheet: int = 0

    @property
    def key(self) -> str:
        """Its name in `drawings`."""
        return f"{self.look} {self.sheet}"


class Request(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True, tag_field="ask"):
    """`count` numbers the requests of one page; it comes back as `echo`."""

    count: int = 0


class Show(Request, tag="show", frozen=True):
    """The page shows this drawing; others are not sent."""

    drawing: Shown


class Act(Request, tag="act", frozen=True):
    """Something is done at the panel: the verbs of `circuit.Do`."""

    verb: Literal[
        "press", "release", "tap", "turn", "make", "clear", "trip", "reset",
        "switch-on", "switch-off", "power-off", "power-on", "push-in",
    ]  # fmt: skip
    targets: tuple[str, ...] = ()
    value: str = ""


class SkipAhead(Request, tag="skip", frozen=True):
    """Let the time pass until the next timed thing has happened."""


class StartAgain(Request, tag="again", frozen=True):
    """Everything at rest, supplies on, time nought."""


class Prove(Request, tag="prove", frozen=True):
    """Prove the promises of the text as it stands."""


class StopProving(Request, tag="stop", frozen=True):
    """Leave what is not proved yet."""


class Play(Request, tag="play", frozen=True):
    """Start again and do what a trial of the file does, or what breaks a promise; `index` counts from 0."""

    of: Literal["trial", "proof"]
    index: int


class Lead(Request, tag="lead", frozen=True):
    """Put a meter lead on a terminal ("K1.13", "earth"), or take it away ("")."""

    which: Literal["red", "black"]
    at: str


class Reads(Request, tag="reads", frozen=True):
    """What the meter is set to."""

    what: Literal["volts", "ohms"]


class TakeMeter(Request, tag="meter", frozen=True):
    """Use another meter, by its name."""

    name: str


class Find(Request, tag="find", frozen=True):
    """Begin a search for a fault of a real panel, knowing nothing or the `results` of the sheet; or leave it."""

    go: bool = True
    results: bool = False


class Tell(Request, tag="tell", frozen=True):
    """A symptom, a reading, or something that changed, in words."""

    words: str


class Found(Request, tag="found", frozen=True):
    """The outcome of the proposed test `index`: a word that was offered, or a value in the unit of the test."""

    index: int
    outcome: str = ""
    value: float | None = None


class Without(Request, tag="without", frozen=True):
    """Take back one piece of what is known; `index` counts from 0."""

    index: int


class Suppose(Request, tag="suppose", frozen=True):
    """Whether the panel is new or was altered, whether it may be live, which meter is at hand; null, "": as before."""

    new: bool | None = None
    live: bool | None = None
    meter: str = ""


class Hide(Request, tag="hide", frozen=True):
    """Hide a fault to practise on. `difficulty`: easy, middle, hard, or "" for any."""

    seed: int
    difficulty: Literal["", "easy", "middle", "hard"] = ""


class Guess(Request, tag="guess", frozen=True):
    """Where the hidden fault is: a device or a terminal; "" gives up."""

    at: str


class LeaveTask(Request, tag="leave", frozen=True):
    """Take the hidden fault out again."""


class OpenSheet(Request, tag="sheet", frozen=True):
    """Make the cold or the live test sheet of the text as it stands."""

    kind: Literal["cold", "live"]


class SheetHead(Request, tag="head", frozen=True):
    """One field of the sheet's head: which panel, who tests, with which meter, when."""

    field: Literal["panel", "by", "meter", "date"]
    words: str


class Enter(Request, tag="enter", frozen=True):
    """The result of a line of the sheet, counted from 1, as somebody wrote it; "" takes it away."""

    number: int
    result: str


class KeepResults(Request, tag="keep", frozen=True):
    """Put what was entered into the records."""


class NewSheet(Request, tag="new-sheet", frozen=True):
    """Clear the sheet that is open, for another panel; the records stay."""


class Tick(Request, tag="tick", frozen=True):
    """A wire was laid or checked, or was not after all."""

    wire: str
    what: Literal["laid", "checked"]
    on: bool


class Untick(Request, tag="untick", frozen=True):
    """No wire is laid or checked: another panel is built."""


class Edit(Request, tag="edit", frozen=True):
    """The whole text as it stands in the editor. `edition` rises with every change at the page."""

    text: str
    edition: int


class Save(Request, tag="save", frozen=True):
    """Write the text to the file. `over`: although the file was changed on disk by something else."""

    over: bool = False


class TakeFile(Request, tag="take", frozen=True):
    """Throw the unsaved text away and take the file as it is on disk."""


Asked = (
    Show | Act | SkipAhead | StartAgain | Prove | StopProving | Play | Lead | Reads | TakeMeter | Find | Tell | Found
    | Without | Suppose | Hide | Guess | LeaveTask | OpenSheet | SheetHead | Enter | KeepResults | NewSheet | Tick
    | Untick | Edit | Save | TakeFile
)  # fmt: skip

read_request = msgspec.json.Decoder(Asked).decode
"""One request from its JSON. Raises msgspec.DecodeError (msgspec.ValidationError for a wrong shape)."""
