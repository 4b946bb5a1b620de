"""The site: ambient temperature, terminals, insulation, bundling, enclosure; said in the file or taken."""

from __future__ import annotations

from dataclasses import dataclass, replace

from ..catalog.site import named, site_words
from ..circuit import Circuit, SiteLine
from .asking import A_REGION, CELSIUS, asked, number, one_of, or_none, wrongly
from .factors import FactorRow, factor
from .regions import Region


@dataclass(frozen=True, slots=True)
class Enclosure:
    """Sides in metres; `material` and `standing` are names of the catalogue, "" when not said."""

    height_m: float
    width_m: float
    depth_m: float
    material: str = ""
    standing: str = ""
    text: str = ""


@dataclass(frozen=True, slots=True)
class Site:
    """Conditions that every choice of a conductor hangs on.

    `terminals_c`: temperature that the terminals are marked for, None when not said. `insulation_c`: what the
    insulation bears. `loaded`: current-carrying conductors (NEC) or circuits (IEC) that run together.
    `said`: names of the lines that the file has, each with its text; the rest is taken as usual.
    """

    ambient_c: float
    terminals_c: float | None
    insulation: str
    insulation_c: float
    method: str
    loaded: int
    drop_percent: float
    inside_c: float | None = None
    enclosure: Enclosure | None = None
    said: tuple[tuple[str, str], ...] = ()

    def text(self, name: str) -> str:
        """What the file says under that name, "" when it does not."""
        return dict(self.said).get(name, "")

    @property
    def taken(self) -> tuple[str, ...]:
        """What the file does not say and was taken: as it would be written under `sizing`, or in words."""
        together = "1 circuit by itself" if self.method else f"{self.loaded} current-carrying conductors together"
        usual = {
            "ambient": f"ambient {self.ambient_c:g} C",
            "terminals": "" if self.method else "terminals not marked",
            "insulation": f"insulation {self.insulation}",
            "method": f"method {self.method}" if self.method else "",
            "bundled": together,
        }
        return tuple(words for name, words in usual.items() if words and not self.text(name))


A_COUNT = number(lambda value: value >= 1 and value % 1 == 0, "it is a whole number, 1 or more")


def unused_lines(site: Site, region: Region) -> tuple[str, ...]:
    """What the file says and the code has no use for, in words."""
    idle = {"NEC": ("method",), "IEC": ("terminals",)}[region.family]
    found = [f'"{name} {site.text(name)}" is not used under {region.name}' for name in idle if site.text(name)]
    if region.family == "IEC" and site.insulation != "PVC":
        found.append(f"the capacities are those of PVC, which carries less than {site.insulation} when hot")
    return tuple(found)


@asked(region=A_REGION, ambient_c=or_none(CELSIUS), terminals_c=or_none(CELSIUS), loaded=or_none(A_COUNT))
def usual_site(
    region: Region,
    *,
    ambient_c: float | None = None,
    terminals_c: float | None = None,
    insulation: str = "",
    method: str = "",
    loaded: int | None = None,
) -> Site:
    """A site for single questions; what is not given is as usual under the code.

    `loaded`: current-carrying conductors (NEC) or circuits (IEC) together. Raises: AskedWrongly.
    """
    site = site_of(Circuit(), region)
    row = named(site_words().insulation, insulation or site.insulation)
    if row is None:
        raise wrongly("usual_site", "insulation", insulation, one_of(row.name for row in site_words().insulation))
    if method and named(site_words().method, method) is None:
        raise wrongly("usual_site", "method", method, one_of(row.name for row in site_words().method))
    return replace(
        site,
        ambient_c=site.ambient_c if ambient_c is None else ambient_c,
        terminals_c=terminals_c,
        insulation=insulation or site.insulation,
        insulation_c=row.celsius,
        method=method or site.method,
        loaded=site.loaded if loaded is None else loaded,
    )


def site_of(circuit: Circuit, region: Region) -> Site:
    """What the file says of the site, the usual values of the code where it is silent."""
    lines = {line.name: line for line in circuit.site}
    american = region.family == "NEC"
    usual = "THHN" if american else "PVC"
    insulation = lines["insulation"].words[0] if "insulation" in lines else usual
    row = named(site_words().insulation, insulation)
    assert row is not None
    method = lines["method"].words[0] if "method" in lines else ("" if american else "B2")
    enclosure = _enclosure(lines["enclosure"]) if "enclosure" in lines else None
    return Site(
        _number(lines.get("ambient"), factor(region.table("usual ambient")).value),
        _said(lines.get("terminals")),
        row.name,
        row.celsius,
        method,
        int(_number(lines.get("bundled"), 3 if american else 1)),
        _number(lines.get("voltage drop"), drop_limit(region).value),
        _said(lines.get("inside")),
        enclosure,
        tuple((line.name, line.text) for line in circuit.site),
    )


def drop_limit(region: Region) -> FactorRow:
    """Percent of voltage drop that a code has as its usual limit."""
    return factor(region.table("voltage drop"))


def _said(line: SiteLine | None) -> float | None:
    return line.quantity.value if line is not None and line.quantity is not None else None


def _number(line: SiteLine | None, usual: float) -> float:
    """What a line says, 0 C included; the usual value where there is none."""
    said = _said(line)
    return usual if said is None else said


def _enclosure(line: SiteLine) -> Enclosure:
    height, width, depth = line.size_m
    materials = {row.name for row in site_words().material}
    material = next((word for word in line.words if word in materials), "")
    standing = next((word for word in line.words if word not in materials), "")
    return Enclosure(height, width, depth, material, standing, line.text)
