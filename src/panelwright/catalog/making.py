"""Everything at hand while one device is put together."""

from __future__ import annotations

from dataclasses import dataclass, field

from ..circuit import CurrentKind, Problem, Quantity
from .facts import Said, Scanner
from .marks import pole_marks
from .shelf import BaseRow, Figure, KindRow, NumberingRow, PartRow, WordRow

Marks = tuple[str, str]


@dataclass(frozen=True, slots=True)
class Rating:
    """What a coil, lamp or motor is made for. `volts` 0: not said."""

    volts: float
    current: CurrentKind
    hertz: float


@dataclass
class Making:
    """The kind, what the line says, and the figures that hold for it: kind first, then words, then the line."""

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

    def quantity(self, fact: str) -> Quantity | None:
        """The quantity of a fact, if it is said."""
        found = self.said.get(fact)
        return found.quantity if found else None

    def count(self, fact: str, otherwise: int) -> int:
        """A number of poles or terminals; at least 1 and at most 200 are built."""
        found = self.said.get(fact)
        return min(max(found.count, 1), 200) if found else otherwise

    @property
    def poles(self) -> int:
        """How many poles it has."""
        return self.count("poles", self.kind.poles)

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

    def marks_of(self, part: PartRow) -> list[Marks]:
        """Pairs of marks of a part: one pair, or one for each pole."""
        written = part.na if self.north_american and part.na else part.marks
        if isinstance(written, str):
            return pole_marks(self.numbering(written), self.poles)
        return [(written[0], written[1])]

    def rating(self, fact: str) -> Rating:
        """The rating said by a fact. Hertz not said: 50, in North American files 60."""
        found = self.said.get(fact)
        if found is None or found.quantity is None:
            return Rating(0.0, "either", 0.0)
        current = found.current or ("ac" if found.hertz else "either")
        hertz = found.hertz or (0.0 if current == "dc" else 60.0 if self.north_american else 50.0)
        return Rating(found.quantity.value, current, hertz)
