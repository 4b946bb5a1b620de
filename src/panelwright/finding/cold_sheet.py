"""The cold test: every wire proved with as few readings as can be, and every single miswire found."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import combinations

from ..circuit import Circuit, Contact, Device, Diode, Fuse, Load
from ..wiring import Wiring
from .causes import Cause, causes_of
from .cold_bench import ALL_IN, ColdBench, ColdPosition, Probe, has_link
from .cold_wires import BEEP_OHMS, net_lines, way_along, wire_ohms, wire_parts
from .covering import fewest
from .places import at_terminal, part_words
from .probing import ohms_text
from .sheet import Part, Sheet, SheetLine, title_of
from .situations import DEAD

CAUTIONS = (
    "Switch off, lock, hang the tag, try the start, prove dead with a tester that was proved before and after.",
    "Let capacitors and drives run down. Take plug-in electronics out before the insulation test.",
    "Local codes and a licensed person decide; this sheet follows the drawing and knows nothing else of the panel.",
)
WRONG_LANDINGS = "These show what the lines before cannot: leads on a wrong terminal, strands across."
INSULATION_MOHM, INSULATION_V = 1.0, 500  # IEC 60204-1 18.3: at least 1 Mohm at 500 V dc; from memory
EARTH_OHMS = 0.1  # usual limit for bonded metal parts at a panel; IEC 60204-1 18.2 asks by cross-section; from memory
NOTHING_CHANGES = "ends-exchanged"


@dataclass(frozen=True, slots=True)
class Misses:
    """Mistakes that no reading of a sheet shows: harmless ones, and those that eyes must look for."""

    harmless: tuple[Cause, ...]
    to_look_for: tuple[Cause, ...]


def cold_sheet(wiring: Wiring) -> Sheet:
    """The cold test sheet of a panel, in the order of the work."""
    bench = ColdBench(wiring)
    pairs = [line for net in wiring.nets for line in net_lines(bench, net)]
    parts_lines, fuse_lines = tuple(part_lines(bench)), tuple(link_lines(bench))
    mistakes = [cause for cause in wiring_mistakes(wiring) if bench.can_be_put_in(cause)]
    pairs, extra, never, fewest_extra = best_held(bench, pairs, [*parts_lines, *fuse_lines], mistakes)
    misses = sorted_out(bench.circuit, never)
    is_whole = bench.base.situation == DEAD
    parts = (
        Part("Before any reading", tuple(first_ticks(bench, misses.to_look_for))),
        *wire_parts(bench, pairs),
        Part("Parts and contacts", parts_lines),
        Part("No bridge, nothing landed wrong", tuple(line for line in extra if line.situation != DEAD or is_whole),
             (WRONG_LANDINGS,)),
        Part("Fuses in, breakers and switches on, one at a time", fuse_lines),
        Part("No bridge, with everything in", tuple(line for line in extra if line.situation == DEAD and not is_whole),
             (f"{ALL_IN[0].upper()}{ALL_IN[1:]}. {WRONG_LANDINGS}",)),
        Part("Earth and insulation", tuple(last_lines(wiring))),
    )  # fmt: skip
    covers = tuple(_covers(wiring, len(pairs), len(mistakes), len(extra), fewest_extra, misses))
    return Sheet("cold", title_of(wiring), CAUTIONS, tuple(part for part in parts if part.lines), covers)


def best_held(
    bench: ColdBench, pairs: list[SheetLine], others: Sequence[SheetLine], mistakes: Sequence[Cause]
) -> tuple[list[SheetLine], list[SheetLine], list[Cause], int]:
    """The pairs of the wires, and what they leave open: as `extra_lines`.

    Where a pair has to be read again with something held, it is read so in the first place, if that saves a reading.
    """
    plain = _with_extra(bench, pairs, others, mistakes)
    again = {(line.a, line.b): line for line in plain[1] if line.situation != DEAD}
    held = [_held_like(bench, line, again.get((line.a, line.b))) for line in pairs]
    if held == pairs:
        return plain
    better = _with_extra(bench, held, others, mistakes)
    return better if (len(better[2]), len(better[1])) < (len(plain[2]), len(plain[1])) else plain


def _with_extra(
    bench: ColdBench, pairs: list[SheetLine], others: Sequence[SheetLine], mistakes: Sequence[Cause]
) -> tuple[list[SheetLine], list[SheetLine], list[Cause], int]:
    readings = [*pairs, *others]
    placed = [(at, line.a, line.b) for line in readings if (at := bench.at(line.situation)) is not None]
    return pairs, *extra_lines(bench, bench.missed_by(placed, mistakes), readings)


def _held_like(bench: ColdBench, line: SheetLine, again: SheetLine | None) -> SheetLine:
    """A pair of a wire as another line holds it, where no other way round would beep then."""
    at = bench.at(again.situation) if again is not None else None
    if at is None or not at.held or line.situation != bench.base.situation:
        return line
    around = bench.ohms_around(at, line.a, line.b)
    if around is not None and around <= BEEP_OHMS:
        return line
    return replace(line, do=f"{line.do}, with {at.held}", situation=at.situation)


def _covers(wiring: Wiring, pairs: int, mistakes: int, extra: int, fewest_extra: int, misses: Misses) -> Iterator[str]:
    terminals = sum(len(net.terminals) for net in wiring.nets if len(net.terminals) > 1)
    bound = sum((len(net.terminals) + 1) // 2 for net in wiring.nets if len(net.terminals) > 1)
    yield (
        f"Wires: {len(wiring.wires)}, on {terminals} terminals, proved by {pairs} readings; "
        f"fewer than {bound} cannot touch every terminal of every net."
    )
    if extra:
        few = "fewer do not show as much" if extra == fewest_extra else f"fewer than {fewest_extra} cannot do it"
        yield f"Bridges and wrong landings that those leave open: {extra} more reading{'s' * (extra != 1)}; {few}."
    shown = mistakes - len(misses.harmless) - len(misses.to_look_for)
    yield f"Single wiring mistakes looked at: {mistakes}; shown by a reading here: {shown}."
    if misses.harmless:
        yield (
            f"Change nothing, and so show nowhere: {len(misses.harmless)}, "
            "the two leads of one part that has no polarity exchanged."
        )
    if misses.to_look_for:
        yield f"No resistance shows {len(misses.to_look_for)}; they are lines to look at, under the first heading."


def sorted_out(circuit: Circuit, never: Sequence[Cause]) -> Misses:
    """Mistakes that no reading shows: those that change nothing, and the others."""
    harmless = tuple(cause for cause in never if _changes_nothing(circuit, cause))
    return Misses(harmless, tuple(cause for cause in never if cause not in harmless))


def _changes_nothing(circuit: Circuit, cause: Cause) -> bool:
    """The two leads of one part without polarity are exchanged."""
    if cause.kind != NOTHING_CHANGES or len(cause.ends) != 2 or len(cause.tags) != 1:
        return False
    device = circuit.by_tag[cause.tags[0]]
    marks = {end.partition(".")[2] for end in cause.ends}
    across = [part for part in device.parts if {getattr(part, "a", ""), getattr(part, "b", "")} == marks]
    return bool(across) and not any(_has_polarity(part) for part in across)


def _has_polarity(part: object) -> bool:
    return isinstance(part, Diode) or (isinstance(part, Load) and part.polarised)


def wiring_mistakes(wiring: Wiring) -> tuple[Cause, ...]:
    """What a hand that wires may have done wrong, one thing at a time: left out, landed wrong, exchanged, bridged."""
    kinds = ("wire-open", "terminal-loose", "terminals-bridged", "cores-bridged", "conductor-earthed")
    return tuple(c for c in causes_of(wiring) if c.is_miswire or c.kind in kinds)


# -- parts -----------------------------------------------------------------------------------------------------------


def part_lines(bench: ColdBench) -> Iterator[SheetLine]:
    """Every contact both ways and every load, with the fuses out."""
    for device in bench.circuit.devices:
        if device.mechanism.sort != "switch":
            for part in device.parts:
                if isinstance(part, Contact | Load) and _is_wired_part(bench, device, part):
                    yield from _part_readings(bench, device, part, bench.base)


def link_lines(bench: ColdBench) -> Iterator[SheetLine]:
    """Every fuse, breaker pole and switch: out or off, then in or on."""
    for device in bench.circuit.devices:
        if device.mechanism.sort == "switch" or has_link(device):
            for part in device.parts:
                if isinstance(part, Contact | Fuse) and _is_wired_part(bench, device, part):
                    yield from _part_readings(bench, device, part, bench.base)


def _part_readings(bench: ColdBench, device: Device, part: Contact | Load | Fuse,
                   rest: ColdPosition) -> Iterator[SheetLine]:  # fmt: skip
    a, b = f"{device.tag}.{part.a}", f"{device.tag}.{part.b}"
    name = part_words(bench.circuit, f"{device.tag}.{part.name}")
    ways = [rest]
    if not isinstance(part, Load):
        closed = bench.is_closed(rest, device, part)
        moved = (p for p in bench.positions if p.tag == device.tag and bench.is_closed(p, device, part) != closed)
        ways += [at for at in (next(moved, None),) if at is not None]
    for at in ways:
        ohms = bench.ohms(at, a, b)
        still = {True: "taken out", False: "off"}[has_link(device)] if _opens(device) else "at rest"
        closed_open = isinstance(part, Load) or bench.is_closed(at, device, part)
        yield SheetLine(f"{name}, {a} to {b}, {at.held or still}", expected_words(ohms), "ohms", a, b, at.situation,
                        ohms, mind=_mind(part, ohms, closed_open))  # fmt: skip


def _opens(device: Device) -> bool:
    return device.mechanism.sort == "switch" or has_link(device)


def _is_wired_part(bench: ColdBench, device: Device, part: Contact | Load | Fuse) -> bool:
    ends = [f"{device.tag}.{part.a}", f"{device.tag}.{part.b}"]
    return all(end in bench.network.elements.node_of and _wired(bench.wiring, end) for end in ends)


def _mind(part: object, ohms: float | None, conducts: bool) -> str:
    if isinstance(part, Load) and part.polarised:
        return "an LED lamp shows open to a meter"
    if not conducts and ohms is not None:
        return "an open contact: the ohms are those of what lies beside it"
    return ""


def _wired(wiring: Wiring, terminal: str) -> bool:
    return any(terminal in wire.ends for wire in wiring.wires)


def expected_words(ohms: float | None) -> str:
    """ "0 ohm, beeps", "open", "650 ohm"."""
    if ohms is None:
        return "open"
    return "0 ohm, beeps" if ohms <= 1 else ohms_text(ohms)


# -- bridges and wrong landings --------------------------------------------------------------------------------------


def extra_lines(
    bench: ColdBench, missed: Sequence[Cause], lines: Sequence[SheetLine] = ()
) -> tuple[list[SheetLine], list[Cause], int]:
    """Readings that show what the others miss, as few as can be; what none shows; and how few they could be.

    First between nets, with nothing held; for what is left, every line again with something held, because a closed
    contact beside a wire hides where that is landed.
    """
    still = (
        (bench.base,) if bench.everything_in.situation == bench.base.situation else (bench.everything_in, bench.base)
    )
    between = list(_between_nets(bench, missed))
    found, left, least = _shown_by(bench, [(at, a, b) for at in still for a, b in between], list(missed))
    ends = list(dict.fromkeys((line.a, line.b) for line in lines))
    held = [at for at in bench.positions if at not in still]
    more, never, least_more = _shown_by(bench, [(at, a, b) for at in held for a, b in ends], left)
    return [*found, *more], never, least + least_more


def _shown_by(
    bench: ColdBench, probes: Sequence[Probe], missed: list[Cause]
) -> tuple[list[SheetLine], list[Cause], int]:
    shows = bench.shown_by(probes, missed)
    cover = fewest(shows)
    lines = []
    for at, a, b in cover.chosen:
        ohms = bench.ohms(at, a, b)
        do = f"{at_terminal(bench.wiring, a)} to {at_terminal(bench.wiring, b)}"
        held = f", {at.held}" if at.held and at is not bench.everything_in else ""
        lines.append(SheetLine(do + held, expected_words(ohms), "ohms", a, b, at.situation, ohms))
    shown = frozenset().union(*(shows[probe] for probe in cover.chosen)) if cover.chosen else frozenset()
    return lines, [cause for cause in missed if cause.id not in shown], cover.at_least


def _between_nets(bench: ColdBench, missed: Sequence[Cause]) -> Iterator[tuple[str, str]]:
    """Pairs of nets that a mistake may join or part, each by its first terminal; and each of them against earth."""
    net_at = {terminal: net for net in bench.wiring.nets for terminal in net.terminals}
    pairs: dict[tuple[str, str], None] = {}
    for cause in missed:
        near = [net_at[end] for end in cause.ends if end in net_at]
        firsts = sorted({net.terminals[0] for net in near if not net.protective})
        pairs.update(dict.fromkeys((first, "earth") for first in firsts))
        pairs.update(dict.fromkeys(combinations(firsts, 2)))
    yield from pairs


# -- without a meter, and with another one ---------------------------------------------------------------------------


def first_ticks(bench: ColdBench, to_look_for: Sequence[Cause]) -> Iterator[SheetLine]:
    """What eyes and hands check."""
    circuit, wiring = bench.circuit, bench.wiring
    yield SheetLine("The drawing in hand is the last revision, and somebody checks who did not wire it")
    ratings = [f"{d.tag} {p.rated_v:g} V" for d in circuit.devices for p in d.parts if isinstance(p, Load) and p.drives]
    if ratings:
        yield SheetLine(f"Coils as drawn: {', '.join(ratings)}")
    fuses = [f"{d.tag} {p.amps:g} A" for d in circuit.devices for p in d.parts if isinstance(p, Fuse)]
    if fuses:
        yield SheetLine(f"Fuses and breakers as drawn: {', '.join(dict.fromkeys(fuses))}")
    for place in dict.fromkeys(place for wire in wiring.wires for place in wire.places):
        ends = sum(wire.places.count(place) for wire in wiring.wires)
        yield SheetLine(f"On {place}: {ends} wire ends torqued and tugged, numbers on both ends, no loose strand")
    yield from looks(to_look_for)
    if bench.links or bench.switches:
        opened = [*(f"{tag} taken out" for tag in bench.links), *(f"{tag} off" for tag in bench.switches)]
        yield SheetLine(f"For the readings: {', '.join(opened)}")


def looks(to_look_for: Sequence[Cause]) -> Iterator[SheetLine]:
    """A line for each device at which something can be wrong that no meter shows."""
    by_tags: dict[tuple[str, ...], list[Cause]] = defaultdict(list)
    for cause in to_look_for:
        by_tags[cause.tags].append(cause)
    for tags, causes in by_tags.items():
        pairs = dict.fromkeys(tuple(sorted(cause.ends)) for cause in causes if len(cause.ends) == 2)
        others = [cause.words for cause in causes if len(cause.ends) != 2]
        told = [f"each lead on its own terminal and nothing across {', '.join(map('-'.join, pairs))}"] if pairs else []
        told += [f"it is not so that {' or '.join(others)}"] if others else []
        yield SheetLine(f"No meter shows it, so look at {' and '.join(tags)}: {'; '.join(told)}")


def last_lines(wiring: Wiring) -> Iterator[SheetLine]:
    """Protective conductor and insulation."""
    circuit = wiring.circuit
    protective = [t for net in wiring.nets if net.protective for t in net.terminals]
    wires = [wire for wire in wiring.wires if any(end in protective for end in wire.ends)]
    for other in protective[1:]:
        ohms = sum(wire_ohms(wire) for wire in way_along(wires, protective[0], other))
        yield SheetLine(f"{protective[0]} to {other}, protective conductor", f"at most {EARTH_OHMS + ohms:.2g} ohm",
                        "ohms", protective[0], other, DEAD, 0.0)  # fmt: skip
    for device, source in circuit.supplies:
        earthed = f": open the link from {source.earthed_at} to earth first" if source.earthed_at else ""
        yield SheetLine(f"{device.tag}: its rails together against earth, {INSULATION_V} V dc{earthed}",
                        f"at least {INSULATION_MOHM:g} Mohm")  # fmt: skip
