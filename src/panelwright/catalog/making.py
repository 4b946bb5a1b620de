"""Everything at hand while one device is put together."""

from __future__ import annotations

from dataclasses import dataclass, field

from ..circuit import CurrentKind, Problem
from . import troubles
from .facts import Said, Scanner
from .marks import pole_marks
from .shelf import BaseRow, Figure, KindRow, NumberingRow, PartRow, WordRow

Marks = tuple[str, str]
STANDS_IN_V = 24.0  # for volts that are not said; the line is reported, but nothing may divide by zero
MOST = 200  # poles or terminals that are built of one device


@dataclass(frozen=True, slots=True)
class Rating:
    """What a coil, lamp or motor is made for."""

    volts: float
    current: CurrentKind
    hertz: float


@dataclass
class Making:
    """The kind, what the line says, and the figures that hold for it: those of the kind, then of its words."""

    scanner: Scanner
    said: dict[str, Said]
    words: list[WordRow]
    figures: dict[str, Figure] = field(default_factory=dict)

    def __post_init__(self) -> None:
        groups = [*self.kind.figures, *(name for word in self.words for name in word.figures)]
        for group in groups:
            self.figures.update(self.scanner.shelf.figures[group])

    @property
    def kind(self) -> KindRow:
        """The row of the kind."""
        return self.scanner.kind

    @property
    def tag(self) -> str:
        """Tag of the device."""
        return self.scanner.line.tag

    @property
    def north_american(self) -> bool:
        """Whether the file asks for North American symbols and numbering."""
        return self.scanner.line.standard == "NA"

    @property
    def mains_hertz(self) -> float:
        """The frequency where none is said: 50 Hz, in North American files 60 Hz."""
        return 60.0 if self.north_american else 50.0

    def tell(self, problem: Problem) -> None:
        """Report one more problem."""
        self.scanner.problems.append(problem)

    def figure(self, name: str, part: PartRow | None = None) -> float:
        """A figure of the part, else of the kind; 0 when there is none."""
        if part is not None and part.figures and name in self.scanner.shelf.figures[part.figures]:
            return self.scanner.shelf.figures[part.figures][name].value
        found = self.figures.get(name)
        return found.value if found else 0.0

    def value(self, fact: str, figure: str = "") -> float:
        """The quantity of a fact in SI units, else the figure, else 0."""
        found = self.said.get(fact)
        if found is not None and found.quantity is not None:
            return found.quantity.value
        return self.figure(figure) if figure else 0.0

    def count(self, fact: str, otherwise: int) -> int:
        """A number of poles or terminals, from 1 to `MOST`."""
        found = self.said.get(fact)
        return min(max(found.count, 1), MOST) if found else otherwise

    @property
    def poles(self) -> int:
        """How many poles it has."""
        return min(self.count("poles", self.kind.poles), self.kind.most_poles)

    def has(self, name: str) -> bool:
        """Whether the fact or word is said."""
        return name in self.said or any(word.name == name for word in self.words)

    def numbering(self, name: str) -> NumberingRow:
        """The numbering of that name, for the standard of the file if there is one of its own."""
        rows = self.scanner.shelf.numberings
        wanted = (name, self.scanner.line.standard)
        return rows[wanted] if wanted in rows else rows[name, "IEC"]

    @property
    def base(self) -> BaseRow | None:
        """The base that the line names."""
        found = self.said.get("base")
        return self.scanner.shelf.bases[found.names[0]] if found else None

    def written(self, part: PartRow) -> tuple[str, ...] | str:
        """The marks of a part as its row gives them, for the standard of the file."""
        return part.na if self.north_american and part.na else part.marks

    def marks_of(self, part: PartRow) -> list[Marks]:
        """Pairs of marks of a part: one pair, or one for each pole."""
        written = self.written(part)
        if isinstance(written, str):
            return pole_marks(self.numbering(written), self.poles)
        return [(written[0], written[1])]

    def names_of(self, part: PartRow, pairs: list[Marks]) -> list[str]:
        """Names of the parts of all poles: its own name when there is one only, else pole1, pole2 ..."""
        return [part.name] if len(pairs) == 1 else [f"pole{at}" for at in range(1, len(pairs) + 1)]

    def rating(self, fact: str) -> Rating:
        """The rating said by a fact."""
        found = self.said.get(fact)
        if found is None or found.quantity is None or found.quantity.value <= 0:
            return Rating(STANDS_IN_V, "either", 0.0)
        current = found.current or ("ac" if found.hertz else "either")
        return Rating(found.quantity.value, current, found.hertz or (self.mains_hertz if current == "ac" else 0.0))

    def sure_rating(self, fact: str) -> Rating:
        """The same, for parts to which ac or dc matters; reported when it is not said."""
        found = self.said.get(fact)
        if found is not None and found.quantity is not None and not found.current and not found.hertz:
            lead = found.row.lead[0] if found.row.lead else ""
            self.tell(troubles.ac_or_dc(self.tag, found.text, lead, found.quantity.text, found.span))
        return self.rating(fact)
