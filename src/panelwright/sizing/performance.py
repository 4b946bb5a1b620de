"""Performance levels of safety functions by ISO 13849-1: what a risk asks for, and what a structure comes to.

The simplified procedure: category, diagnostic coverage and MTTFD of each channel. Common causes, systematic failures
and validation belong to it as well and are not reckoned here; the responsible person decides.
"""

from __future__ import annotations

from collections.abc import Sequence

from .asking import A_SHARE, POSITIVE, Rule, asked, one_of
from .safety_life import mttfd_band
from .tables import OutsideTable, TableRow, rows_of

CATEGORIES = ("B", "1", "2", "3", "4")
LEVELS = ("a", "b", "c", "d", "e")
COVERAGES = ("none", "low", "medium", "high")
LIVES = ("low", "medium", "high")


class CoverageRow(TableRow, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """A band of diagnostic coverage."""

    band: str
    from_share: float


class LevelRow(TableRow, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """The level that a category reaches with bands of coverage and MTTFD."""

    category: str
    coverage: str
    mttfd: str
    level: str


class SilRow(TableRow, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """The safety integrity level that a performance level stands for; None for a."""

    level: str
    sil: int | None = None


class RiskRow(TableRow, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """The level that a risk asks for."""

    severity: int
    exposure: int
    avoiding: int
    level: str


@asked(share=A_SHARE)
def coverage_band(share: float) -> str:
    """none, low, medium or high, for the share of dangerous failures that is found. Source: ISO 13849-1 Table 5."""
    rows = rows_of("coverage_bands", CoverageRow)
    return max((row for row in rows if row.from_share <= share + 1e-9), key=lambda row: row.from_share).band


def _are_parts(value: object) -> bool:
    if not isinstance(value, Sequence) or isinstance(value, str) or not value:
        return False
    return all(len(part) == 2 and A_SHARE.holds(part[0]) and POSITIVE.holds(part[1]) for part in value)


SOME_PARTS = Rule(
    _are_parts,
    "each part is the share of its dangerous failures that is found, and its MTTFD in years",
    lambda *_: "Give for example parts=[(0.99, 60), (0.9, 100)]",
)


@asked(parts=SOME_PARTS)
def average_coverage(parts: Sequence[tuple[float, float]]) -> float:
    """Coverage of a channel of several parts, each (share found, MTTFD in years): weighed by how often each fails.

    sum(DC / MTTFD) / sum(1 / MTTFD). Raises: AskedWrongly for no parts, shares outside 0 to 1, years not above 0.
    Source: ISO 13849-1 annex E (from memory).
    """
    return sum(share / years for share, years in parts) / sum(1 / years for _, years in parts)


@asked(category=one_of(CATEGORIES), coverage=A_SHARE, mttfd_years=POSITIVE)
def performance_level(category: str, coverage: float, mttfd_years: float) -> LevelRow:
    """The row of the level that is reached; more coverage or life than a category counts is not counted.

    Raises: AskedWrongly; OutsideTable where the category asks for more coverage or a longer life.
    """
    found, lives = COVERAGES.index(coverage_band(coverage)), mttfd_band(mttfd_years)
    life = LIVES.index(lives) if lives in LIVES else -1
    rows = [row for row in rows_of("performance_levels", LevelRow) if row.category == category]
    reached = [row for row in rows if COVERAGES.index(row.coverage) <= found and LIVES.index(row.mttfd) <= life]
    if reached:
        return max(reached, key=lambda row: (row.level, row.coverage == COVERAGES[found], row.mttfd == lives))
    least = min(rows, key=lambda row: (COVERAGES.index(row.coverage), LIVES.index(row.mttfd)))
    raise OutsideTable(
        f"category {category} asks for a diagnostic coverage of {least.coverage} and an MTTFD of {least.mttfd} "
        f"at least; here are {coverage_band(coverage)} and {lives}"
    )


@asked(severity=one_of((1, 2)), exposure=one_of((1, 2)), avoiding=one_of((1, 2)))
def required_level(severity: int, exposure: int, avoiding: int) -> RiskRow:
    """The level that a risk asks for. Raises: AskedWrongly. Source: ISO 13849-1 annex A (from memory).

    Injury slight 1 or serious 2, exposure seldom 1 or often 2, avoiding it possible 1 or hardly 2.
    """
    return next(
        row for row in rows_of("risk_graph", RiskRow)
        if (row.severity, row.exposure, row.avoiding) == (severity, exposure, avoiding)
    )  # fmt: skip


@asked(level=one_of(LEVELS))
def sil_of(level: str) -> int | None:
    """The safety integrity level of a performance level, None for a. Raises: AskedWrongly."""
    return next(row.sil for row in rows_of("performance_sil", SilRow) if row.level == level)
