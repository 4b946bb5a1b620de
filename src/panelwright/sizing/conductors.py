"""Conductors: the smallest that carries a current at its temperature, its terminals and its company.

NEC: the capacity in the column of the insulation, times the factors for ambient and bundling, and never more than the
column of the terminals. IEC: the capacity of the method of laying, times the factors for ambient and grouping.
"""

from __future__ import annotations

from dataclasses import dataclass

from ..catalog.quantities import KCMIL_M2, awg_area_m2
from ..catalog.site import named, site_words
from .answers import Working, amount, in_amps
from .asking import A_REGION, NOT_NEGATIVE, AskedWrongly, asked, one_of
from .factors import factor
from .regions import Region
from .site import Site
from .tables import OutsideTable, TableRow, rows_of

MOST_PARALLEL = 8
A_COLUMN, A_METAL = one_of((60.0, 75.0, 90.0), none=True), one_of(("cu", "al"))
SAME_AREA = 1.005  # a table rounds areas


class AmpacityRow(TableRow, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """Amperes of one size, copper and aluminium, by temperature of the insulation."""

    size: str
    a_cu60: float | None = None
    a_cu75: float | None = None
    a_cu90: float | None = None
    a_al60: float | None = None
    a_al75: float | None = None
    a_al90: float | None = None

    def amps(self, celsius: float, metal: str = "cu") -> float | None:
        """Amperes in a column; None where the table has none."""
        found: float | None = getattr(self, f"a_{metal}{celsius:g}")
        return found


class MethodRow(TableRow, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """Amperes of one cross-section by method of laying."""

    area_mm2: float
    a_b1: float
    a_b2: float
    a_c: float
    a_e: float


class AmbientNecRow(TableRow, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """Factors for a range of ambients by temperature of the insulation."""

    ambient_min_c: float
    ambient_max_c: float
    f60: float | None = None
    f75: float | None = None
    f90: float | None = None


class AmbientRow(TableRow, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """Factor at an ambient."""

    ambient_c: float
    factor: float


class BundlingRow(TableRow, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """Percent for a number of current-carrying conductors."""

    n_min: int
    n_max: int | None = None
    percent: float


class GroupingRow(TableRow, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """Factors for a number of circuits by method."""

    method: str
    f2: float
    f4: float
    f6: float
    f9: float


class SmallestRow(TableRow, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """Smallest cross-sections of a location and application."""

    location: str
    application: str
    flex_single_cl5_6_mm2: float | None = None
    single_solid_or_stranded_mm2: float | None = None
    two_core_shielded_mm2: float | None = None
    two_core_unshielded_mm2: float | None = None
    three_or_more_core_mm2: float | None = None


@dataclass(frozen=True, slots=True)
class Conductor:
    """A size with what it carries where it is. `name` as it is bought: "10 AWG", "250 kcmil", "2.5 mm2"."""

    name: str
    area_mm2: float
    amps: float
    workings: tuple[Working, ...]


@asked(
    needed_a=NOT_NEGATIVE,
    region=A_REGION,
    terminals_c=one_of((60.0, 75.0, 90.0), none=True),
    metal=one_of(("cu", "al")),
)
def smallest_conductor(
    needed_a: float, region: Region, site: Site, *, terminals_c: float | None = None, metal: str = "cu"
) -> Conductor:
    """The smallest power conductor that carries `needed_a` for good.

    `terminals_c`: of the NEC's terminal column; by default what the site says, else 60 C up to 100 A and 75 C above.
    `metal`: "cu" or "al". Raises: OutsideTable.
    """
    for conductor in sizes(needed_a, region, site, terminals_c=terminals_c, metal=metal):
        if conductor.amps >= needed_a - 1e-9:
            return conductor
    raise OutsideTable(f"no single conductor of the table carries {amount(needed_a, 'A')}")


@asked(needed_a=NOT_NEGATIVE, region=A_REGION)
def in_parallel(needed_a: float, region: Region, site: Site) -> tuple[int, Conductor]:
    """(how many, which): the fewest equal conductors in parallel that carry `needed_a` where one does not.

    None is smaller than 1/0 AWG (53.5 mm2). Raises: OutsideTable when eight are not enough.
    """
    least = factor("parallel from")
    for count in range(2, MOST_PARALLEL + 1):
        enough = (one for one in sizes(needed_a, region, site) if one.amps * count >= needed_a)
        found = next((one for one in enough if one.area_mm2 >= least.value * 0.99), None)
        if found is not None:
            words = f"{count} x {in_amps(found.amps)} = {in_amps(count * found.amps)}, equal in length, size and kind"
            step = Working(words, least.source, least.source, least.trust)
            return count, Conductor(found.name, found.area_mm2, found.amps, (*found.workings, step))
    raise OutsideTable(f"no {MOST_PARALLEL} conductors of the table carry {in_amps(needed_a)}")


@asked(
    needed_a=NOT_NEGATIVE,
    region=A_REGION,
    terminals_c=one_of((60.0, 75.0, 90.0), none=True),
    metal=one_of(("cu", "al")),
)
def sizes(
    needed_a: float, region: Region, site: Site, *, terminals_c: float | None = None, metal: str = "cu"
) -> tuple[Conductor, ...]:
    """Every size of the table for power circuits, the smallest first. Raises: OutsideTable."""
    if region.family == "NEC":
        return _nec_sizes(needed_a, region, site, terminals_c, metal)
    if metal != "cu":
        raise AskedWrongly(f"sizes: metal is {metal!r}; the tables of {region.name} are of copper. Leave it away.")
    if not site.method:
        made = f"the site has no method of laying, so it was made for another code than {region.name}"
        raise AskedWrongly(f"sizes: {made}. Make it with usual_site(region), or usual_site(region, method='B2').")
    return _iec_sizes(region, site)


# ---- NEC
def awg_name(size: str) -> str:
    """ "10" is 10 AWG, "250" is 250 kcmil, "1/0" is 1/0 AWG."""
    return f"{size} kcmil" if size.isdigit() and int(size) >= 250 else f"{size} AWG"


def awg_area_mm2(size: str) -> float:
    """Cross-section of "10", "1/0" or "250". Source: ASTM B258 (from memory)."""
    if size.isdigit() and int(size) >= 250:
        return int(size) * KCMIL_M2 * 1e6
    gauge = 1 - int(size[:-2]) if size.endswith("/0") else int(size)
    return awg_area_m2(gauge) * 1e6


def terminal_column(needed_a: float, site: Site) -> tuple[float, str]:
    """Column of the terminals, and why: what the site says, else 60 C up to 100 A and 75 C above. NEC 110.14(C)."""
    if site.terminals_c is not None:
        column = max(c for c in (60.0, 75.0, 90.0) if c <= max(60.0, site.terminals_c))
        return column, f"terminals {site.text('terminals') or amount(site.terminals_c, 'C')}"
    limit = factor("terminals 60 C up to").value
    if needed_a <= limit:
        return 60.0, f"terminals not marked, up to {limit:g} A"
    return 75.0, f"terminals not marked, above {limit:g} A"


def _nec_sizes(
    needed_a: float, region: Region, site: Site, terminals_c: float | None, metal: str
) -> tuple[Conductor, ...]:
    cap_c, why = terminal_column(needed_a, site) if terminals_c is None else (terminals_c, "terminals")
    own_c = min((c for c in (60.0, 75.0, 90.0) if c >= site.insulation_c), default=90.0)
    if own_c > site.insulation_c:
        own_c = max(c for c in (60.0, 75.0, 90.0) if c <= site.insulation_c)
    ambient, bundling = nec_ambient(site.ambient_c, own_c), nec_bundling(site.loaded)
    smallest = factor("smallest power")
    found = []
    for row in rows_of("ampacity", AmpacityRow):
        own, cap = row.amps(own_c, metal), row.amps(min(cap_c, own_c), metal)
        if own is None or cap is None or (row.size.isdigit() and smallest.value < int(row.size) < 250):
            continue
        corrected = own * ambient[0] * bundling[0]
        amps = min(corrected, cap)
        words = f"{awg_name(row.size)}: {amount(own, 'A')} at {own_c:g} C ({site.insulation})"
        workings = [Working(words, region.clause("ampacity"), row.source, row.trust)]
        if ambient[0] != 1 or bundling[0] != 1:
            workings += _corrections(own, corrected, site, region, ambient, bundling)
        if cap < corrected:
            limit = f"not more than {amount(cap, 'A')} in the {min(cap_c, own_c):g} C column ({why})"
            workings.append(Working(limit, region.clause("terminals"), row.source, row.trust))
        found.append(Conductor(awg_name(row.size), awg_area_mm2(row.size), amps, tuple(workings)))
    return tuple(found)


def nec_ambient(ambient_c: float, column_c: float) -> tuple[float, AmbientNecRow]:
    """Factor for an ambient, and its row. Raises: OutsideTable where the insulation may not be used."""
    for row in rows_of("ambient_30c", AmbientNecRow):
        if ambient_c <= row.ambient_max_c:
            found: float | None = getattr(row, f"f{column_c:g}")
            if found is None:
                break
            return found, row
    raise OutsideTable(f"insulation for {column_c:g} C may not be used in an ambient of {amount(ambient_c, 'C')}")


def nec_bundling(conductors: int) -> tuple[float, BundlingRow]:
    """Factor for so many current-carrying conductors together, and its row."""
    rows = rows_of("bundling", BundlingRow)
    row = next(row for row in rows if row.n_max is None or conductors <= row.n_max)
    return row.percent / 100, row


def _corrections(
    own: float,
    corrected: float,
    site: Site,
    region: Region,
    ambient: tuple[float, AmbientNecRow],
    bundling: tuple[float, BundlingRow],
) -> list[Working]:
    """ "30 A x 0.87 (45 C) x 0.7 (9 conductors) = 18.27 A", with the clause of each factor."""
    words = amount(own, "A")
    rules = []
    if ambient[0] != 1:
        words += f" x {ambient[0]:g} ({site.text('ambient') or amount(site.ambient_c, 'C')})"
        rules.append(region.clause("ambient"))
    if bundling[0] != 1:
        words += f" x {bundling[0]:g} ({site.loaded} conductors together)"
        rules.append(region.clause("bundling"))
    trust = ambient[1].trust if ambient[0] != 1 else bundling[1].trust
    return [Working(f"{words} = {amount(corrected, 'A')}", " and ".join(rules), ambient[1].source, trust)]


# ---- IEC
def _iec_sizes(region: Region, site: Site) -> tuple[Conductor, ...]:
    table = region.table("ampacity")
    ambient, ambient_row = iec_ambient(site.ambient_c, region.table("ambients"))
    grouping, grouping_row = iec_grouping(site.loaded, site.method)
    rows = rows_of("smallest_area", SmallestRow)
    least = next(row for row in rows if (row.location, row.application) == ("inside enclosures", "power"))
    method = named(site_words().method, site.method)
    found = []
    for row in rows_of(table, MethodRow):
        if row.area_mm2 < (least.single_solid_or_stranded_mm2 or 0.0):
            continue
        own: float = getattr(row, f"a_{site.method.lower()}")
        amps = own * ambient * grouping
        laid = f"method {site.method}, {method.says}" if method else f"method {site.method}"
        words = f"{amount(row.area_mm2, 'mm2')}: {amount(own, 'A')} ({laid})"
        workings = [Working(words, region.clause("ampacity"), row.source, row.trust)]
        if ambient != 1 or grouping != 1:
            text, rules = amount(own, "A"), []
            if ambient != 1:
                text += f" x {ambient:g} ({site.text('ambient') or amount(site.ambient_c, 'C')})"
                rules.append(region.clause("ambient"))
            if grouping != 1:
                text += f" x {grouping:g} ({site.loaded} circuits together)"
                rules.append(region.clause("bundling"))
            trust = ambient_row.trust if grouping == 1 or grouping_row is None else grouping_row.trust
            workings.append(Working(f"{text} = {amount(amps, 'A')}", " and ".join(rules), ambient_row.source, trust))
        found.append(Conductor(amount(row.area_mm2, "mm2"), row.area_mm2, amps, tuple(workings)))
    return tuple(found)


def iec_ambient(ambient_c: float, table: str = "ambient_machine") -> tuple[float, AmbientRow]:
    """Factor of the next printed ambient, at or above; below the table its first. Raises: OutsideTable."""
    for row in rows_of(table, AmbientRow):
        if ambient_c <= row.ambient_c:
            return row.factor, row
    raise OutsideTable(f"the table of ambients ends below {amount(ambient_c, 'C')}")


def iec_grouping(circuits: int, method: str) -> tuple[float, GroupingRow | None]:
    """Factor of the next printed number of circuits at or above. Raises: OutsideTable beyond nine."""
    if circuits <= 1:
        return 1.0, None
    wanted = "B1" if method == "B2" else method  # one row holds for both
    row = next(row for row in rows_of("grouping_machine", GroupingRow) if row.method == wanted)
    for most in (2, 4, 6, 9):
        if circuits <= most:
            return float(getattr(row, f"f{most}")), row
    raise OutsideTable("the table of grouped circuits ends at nine")
