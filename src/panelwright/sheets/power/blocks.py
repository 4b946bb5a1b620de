"""The parts on a power path: poles side by side, exchanged wires, star points, motors, primaries."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from ...circuit import Circuit, Device, Load, Motor, Part, PathUse, Source, Star, Swap, Use
from ..display import Anchor, Box, Circle, Group, Item, Line, Rect, Text, shifted
from ..rungs.cells import CAP_MM, LINE_MM, Frame, Said, make_cell
from ..rungs.faces import follows_a_coil, rating_of, symbol_of
from ..rungs.strands import Leaf
from ..symbols import M, part_symbol
from ..words import wrapped

WIRE_MM = 10.0  # between the wires of a path
_LINKED = ("relay", "switch", "latching")
_ROUND_MM = 4.5


@dataclass(frozen=True, slots=True)
class Block:
    """One item of a path: its length, what it draws from (0, 0) on its first wire, and boxes (u0, v0, u1, v1)."""

    length: float
    items: tuple[Item, ...]


@dataclass(frozen=True, slots=True)
class Setting:
    """What all blocks of a drawing share. `references`: device tag to "/3", the line of its coil."""

    circuit: Circuit
    frame: Frame
    references: Mapping[str, str]

    def xy(self, u: float, v: float) -> tuple[float, float]:
        """Paper coordinates of a place along and across."""
        return (v, u) if self.frame.upright else (u, v)

    def line(self, look: str, *places: tuple[float, float]) -> Line:
        """A line through places given along and across."""
        return Line(tuple(self.xy(u, v) for u, v in places), look)

    def wire(self, net: str, *places: tuple[float, float]) -> Item:
        """A piece of conductor."""
        return Group((self.line("wire", *places),), net=net, role="net")


def block_of(
    item: PathUse | Swap | Star, before: tuple[str, ...], after: tuple[str, ...], to: Setting, purpose: str = ""
) -> Block:
    """The block of one path item between the nets before and after it; ends say what their path is for."""
    if isinstance(item, Swap):
        return _swap(item, before, to)
    if isinstance(item, Star):
        return _star(before, to, purpose)
    device = to.circuit.by_tag[str(item.device)]
    parts = [_part(device, name) for name in _names(item)]
    if isinstance(parts[0], Motor):
        return _motor(item, device, before, to, purpose)
    if isinstance(parts[0], Load) and not after:
        return _primary(item, device, before, to)
    return _poles(item, device, parts, before, after or before, to)


def _names(use: PathUse) -> list[str]:
    names = [*use.names, *[""] * len(use.pairs)]
    return names[: len(use.pairs)]


def _part(device: Device, name: str) -> Part | None:
    return next((part for part in device.parts if part.name == name), None) if name else None


# ------------------------------------------------------------------------------- poles side by side
def _poles(
    use: PathUse, device: Device, parts: list[Part | None], before: tuple[str, ...], after: tuple[str, ...], to: Setting
) -> Block:
    cells = []
    for index, (part, pair) in enumerate(zip(parts, use.pairs, strict=True)):
        marks = pair if pair[0] != pair[1] else ("", "")
        symbol = (
            symbol_of(device, part, to.frame.standard, live=to.frame.live)
            if part
            else part_symbol("terminal", to.frame.standard)
        )
        name = part.name if part else pair[0]
        tag = device.tag if index == 0 else ""
        if part is None:
            tag = f"{device.tag}.{pair[0]}" if not to.frame.upright or index == 0 else ""
            marks = ("", pair[0]) if to.frame.upright and index else marks
        reference = to.references.get(device.tag, "") if follows_a_coil(device) and index == 0 else ""
        words = _words(device) if index == 0 and part is not None and not follows_a_coil(device) else ""
        leaf = Leaf(Use(device.tag, name, terminals=pair, name=name), _at(before, index), _at(after, index))
        label = f"{device.tag} {pair[0]}-{pair[1]}: {symbol.words}"
        if not to.frame.upright:  # the linkage of the poles runs where a reference would stand
            words, reference = words or reference, ""
        said = Said(tag, words, marks, reference)
        cells.append(make_cell(symbol, said, leaf, to.frame, f"{device.tag}.{name}", label))
    middle = max(cell.middle for cell in cells)
    length = middle + max(cell.length - cell.middle for cell in cells)
    items: list[Item] = []
    for index, cell in enumerate(cells):
        v, start = index * WIRE_MM, middle - cell.middle
        items += [
            to.wire(_at(before, index), (0.0, v), (start, v)),
            to.wire(_at(after, index), (start + cell.length, v), (length, v)),
        ]
        items += [shifted(item, *to.xy(start, v)) for item in cell.items]
    if len(cells) > 1 and device.mechanism.sort in _LINKED and parts[0] is not None:
        items.append(_linkage(middle, len(cells), to))
    return Block(length, tuple(items))


def _words(device: Device) -> str:
    return ", ".join(word for word in (rating_of(device), device.text) if word)


def _linkage(middle: float, count: int, to: Setting) -> Item:
    """The dashed line that moves all blades together."""
    blade = -0.45 * M if to.frame.upright else 0.45 * M
    if to.frame.standard == "NA":
        blade = 0.0
    return to.line("link", (middle, blade), (middle, blade + (count - 1) * WIRE_MM))


def _at(nets: tuple[str, ...], index: int) -> str:
    return nets[index] if index < len(nets) else ""


# ------------------------------------------------------------------------------- between parts
def _swap(swap: Swap, before: tuple[str, ...], to: Setting) -> Block:
    items: list[Item] = []
    length = 10.0
    goal = {swap.first: swap.second, swap.second: swap.first}
    for index, net in enumerate(before):
        v0, v1 = index * WIRE_MM, goal.get(index, index) * WIRE_MM
        items.append(to.wire(net, (0.0, v0), (1.5, v0), (length - 1.5, v1), (length, v1)))
    return Block(length, tuple(items))


def _star(before: tuple[str, ...], to: Setting, purpose: str) -> Block:
    last = (len(before) - 1) * WIRE_MM
    items = [to.wire(net, (0.0, k * WIRE_MM), (5.0, k * WIRE_MM)) for k, net in enumerate(before)]
    items.append(to.wire(_at(before, 0), (5.0, 0.0), (5.0, last)))
    items += [Circle(*to.xy(5.0, k * WIRE_MM), 0.62, "dot") for k in range(1, len(before) - 1)]
    words = f"star point: {purpose}" if purpose else "star point"
    if to.frame.upright:
        x, y = to.xy(9.0, last / 2)
        items.append(Text(x, y, words, "function", "middle"))
    else:
        x, y = to.xy(7.0, last / 2)
        items.append(Text(x, y + CAP_MM / 2, words, "function"))
    return Block(10.0, tuple(items))


# ------------------------------------------------------------------------------- ends of paths
def _motor(use: PathUse, device: Device, before: tuple[str, ...], to: Setting, purpose: str) -> Block:
    if len(use.pairs) == 1:
        return _single_end(use, device, before, to)
    motor = device.motors[0]
    middle = (len(before) - 1) * WIRE_MM / 2
    items = _leads_into(use, before, middle, to)
    x, y = to.xy(15.0, middle)
    kind = "1~" if motor.phases == 1 else "3~" if motor.phases == 3 else ""
    shape: list[Item] = [Circle(x, y, _ROUND_MM, "shade")]
    if to.frame.standard == "NA" or not kind:
        shape.append(Text(x, y + 1.25, "M", "mark", "middle"))
    else:
        shape += [Text(x, y - 0.4, "M", "mark", "middle"), Text(x, y + 3.1, kind, "mark", "middle")]
    items.append(_ended(device, f"{device.tag}.{motor.name}", shape, (x, y), to, purpose))
    return Block(22.0, tuple(items))


def _ended(
    device: Device,
    element: str,
    shape: list[Item],
    place: tuple[float, float],
    to: Setting,
    purpose: str = "",
    *,
    above: bool = False,
) -> Item:
    """A round or square end with its tag and words: left of it, right of it, or on one line above."""
    x, y = place
    lines = wrapped(device.text, 27.0, "function")
    lines += wrapped(rating_of(device), 27.0, "function")
    if purpose and purpose not in device.text:
        lines += wrapped(purpose, 27.0, "function")
    if above and not to.frame.upright:
        texts: list[Item] = [Text(x - 5.0, y - _ROUND_MM - 1.2, device.tag, "tag")]
        for k, line in enumerate(reversed(lines), start=1):
            texts.append(Text(x - 5.0, y - _ROUND_MM - 1.2 - k * LINE_MM, line, "function"))
    else:
        side = x - _ROUND_MM - 1.2 if to.frame.upright else x + _ROUND_MM + 1.6
        anchor: Anchor = "end" if to.frame.upright else "start"
        texts = [Text(side, y - 0.4, device.tag, "tag", anchor)]
        texts += [Text(side, y + 3.3 + k * LINE_MM, line, "function", anchor) for k, line in enumerate(lines)]
    label = f"{device.tag}: {device.kind}, {device.text}".rstrip(", ")
    return Group((*shape, *texts), element=element, device=device.tag, role="element", label=label)


def _leads_into(
    use: PathUse, before: tuple[str, ...], middle: float, to: Setting, *, square: bool = False
) -> list[Item]:
    """Wires that draw together into a circle of 9 mm, each with the mark of its terminal."""
    items: list[Item] = []
    count = len(before)
    for index, net in enumerate(before):
        v = index * WIRE_MM
        goal = middle + (index - (count - 1) / 2) * (2.5 if count > 2 else 3.0)
        depth = 15.0 - (_ROUND_MM if square else max(_ROUND_MM**2 - (goal - middle) ** 2, 0.0) ** 0.5)
        # the middle wires run straight; the outer ones bend towards them, nested so that none touch
        items.append(to.wire(net, (0.0, v), (7.0, v), (7.0, goal), (depth, goal)))
        mark = use.pairs[index][0]
        if to.frame.upright:
            items.append(Text(*_plus(to.xy(0.0, v), 1.0, 4.5), mark, "terminal"))
        else:
            items.append(Text(*_plus(to.xy(0.0, v), 1.0, -0.8), mark, "terminal"))
    return items


def _plus(place: tuple[float, float], dx: float, dy: float) -> tuple[float, float]:
    return (place[0] + dx, place[1] + dy)


def _single_end(use: PathUse, device: Device, before: tuple[str, ...], to: Setting) -> Block:
    """One lead on a terminal of a device, as PE on a motor."""
    mark = use.pairs[0][0]
    x, y = to.xy(6.75, 0.0)
    items: list[Item] = [to.wire(_at(before, 0), (0.0, 0.0), (6.0, 0.0)), Circle(x, y, 0.75, "symbol")]
    word = f"{device.tag}.{mark}"
    if to.frame.upright:
        items.append(Text(x, y + 0.75 + 1.2 + CAP_MM, word, "tag", "middle"))
    else:
        items.append(Text(x + 2.0, y + CAP_MM / 2, word, "tag"))
    return Block(12.0, (Group(tuple(items), device=device.tag, role="element", label=f"{device.tag} terminal {mark}"),))


def _primary(use: PathUse, device: Device, before: tuple[str, ...], to: Setting) -> Block:
    """A transformer or supply at the end of a path, with the rails that it feeds."""
    load = next(part for part in device.parts if isinstance(part, Load))
    middle = (len(before) - 1) * WIRE_MM / 2
    source: Source | None = next(iter(device.sources), None)
    items = _leads_into(use, before, middle, to, square=source is not None and source.current == "dc")
    x, y = to.xy(15.0, middle)
    shape: list[Item] = []
    if source is not None and source.current == "dc":
        shape += [Rect(x - 4.5, y - 4.5, 9.0, 9.0, "shade"), Line(((x - 4.5, y + 4.5), (x + 4.5, y - 4.5)), "symbol")]
        shape += [
            Text(x - 1.8, y - 0.6, "~", "mark", "middle"),
            Line(((x + 0.6, y + 2.4), (x + 3.4, y + 2.4)), "operator"),
        ]
        far = 19.5
    else:
        x2, y2 = to.xy(20.0, middle)
        shape += [Circle(x, y, _ROUND_MM, "symbol"), Circle(x2, y2, _ROUND_MM, "symbol")]
        far = 24.5
    items.append(_ended(device, f"{device.tag}.{load.name}", shape, (x, y), to, above=True))
    length = far
    if source is not None:
        for index, (rail, mark) in enumerate(zip(source.rails, source.terminals, strict=True)):
            v = middle + (index - (len(source.rails) - 1) / 2) * WIRE_MM
            inner = middle + (index - (len(source.rails) - 1) / 2) * 3.0
            begin = far if source.current == "dc" else 20.0 + (_ROUND_MM**2 - (inner - middle) ** 2) ** 0.5
            items.append(to.wire(rail, (begin, inner), (far + 3.0, inner), (far + 3.0, v), (far + 9.0, v)))
            items += _rail_end(rail, mark, far + 9.0, v, to)
        length = far + 14.0
    return Block(length, tuple(items))


def _rail_end(rail: str, mark: str, u: float, v: float, to: Setting) -> list[Item]:
    x, y = to.xy(u, v)
    if to.frame.upright:
        return [Text(x + 1.0, y - 1.0, mark, "terminal"), Text(x, y + 1.0 + CAP_MM, rail, "tag", "middle")]
    return [Text(x - 1.0, y - 0.8, mark, "terminal", "end"), Text(x + 1.2, y + CAP_MM / 2, rail, "tag")]


def boxes_of(items: tuple[Item, ...], upright: bool) -> list[Box]:
    """Boxes (u0, v0, u1, v1) around items."""
    from ..display import box_of

    found = [box for item in items if (box := box_of(item)) is not None]
    return [(y0, x0, y1, x1) for x0, y0, x1, y1 in found] if upright else found
