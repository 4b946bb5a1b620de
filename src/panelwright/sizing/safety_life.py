"""How long until a safety part is expected to fail dangerously: MTTFD from B10D and how often it works. ISO 13849-1."""

from __future__ import annotations

from .answers import Answer, Working, amount
from .asking import NOT_NEGATIVE, POSITIVE, asked, one_of, wrongly
from .factors import factor
from .tables import TableRow, rows_of

MTTFD = "MTTFD of each channel"
HOURS_DAY, SECONDS_HOUR = 24.0, 3600.0


class BandRow(TableRow, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """A band of MTTFD."""

    band: str
    from_years: float


class LifeRow(TableRow, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """Typical B10D of a part."""

    part: str
    operations: float


def typical_b10d(part: str) -> LifeRow:
    """Typical operations until one in ten has failed dangerously. Raises: AskedWrongly."""
    rows = {row.part: row for row in rows_of("b10d", LifeRow)}
    if part not in rows:
        raise wrongly("typical_b10d", "part", part, one_of(rows))
    return rows[part]


@asked(every_s=POSITIVE, hours_per_day=POSITIVE, days_per_year=POSITIVE)
def operations_per_year(every_s: float, *, hours_per_day: float = HOURS_DAY, days_per_year: float = 365.25) -> float:
    """Operations a year of a part that works once every `every_s` seconds. Raises: AskedWrongly."""
    return days_per_year * hours_per_day * SECONDS_HOUR / every_s


@asked(b10d=POSITIVE, per_year=POSITIVE)
def mttfd_years(b10d: float, per_year: float) -> float:
    """B10D / (0.1 x operations a year), years, not capped. Source: ISO 13849-1 annex C."""
    return b10d / (factor("mttfd share").value * per_year)


@asked(years=NOT_NEGATIVE)
def mttfd_band(years: float) -> str:
    """low, medium, high or not acceptable. Source: ISO 13849-1 Table 4."""
    return max(
        (row for row in rows_of("mttfd_bands", BandRow) if row.from_years <= years), key=lambda r: r.from_years
    ).band


def mttfd_answer(b10d: float, per_year: float, about: str = "part") -> Answer:
    """MTTFD with its arithmetic. It says nothing of the structure, the coverage or common causes."""
    years, cap, share = mttfd_years(b10d, per_year), factor("mttfd cap"), factor("mttfd share")
    counted = min(years, cap.value)
    words = f"{b10d:g} / ({share.value:g} x {amount(per_year, '', 7)} a year) = {amount(years, 'years', 5)}"
    steps = [Working(words, "ISO 13849-1 annex C", share.source, share.trust)]
    if counted < years:
        steps.append(Working(f"counted as {cap.value:g} years at most", "ISO 13849-1", cap.source, cap.trust))
    warning = (
        "one of several figures of a performance level: structure, diagnostic coverage and common causes belong to it"
    )
    return Answer(
        about,
        MTTFD,
        f"{amount(counted, 'years', 4)}: {mttfd_band(counted)}",
        counted,
        "years",
        tuple(steps),
        warnings=(warning,),
    )


def mttfd_of_channels(one: float, other: float) -> float:
    """Two channels as one figure: 2/3 (a + b - 1 / (1/a + 1/b)). Source: ISO 13849-1 annex D (from memory)."""
    return 2 / 3 * (one + other - 1 / (1 / one + 1 / other))
