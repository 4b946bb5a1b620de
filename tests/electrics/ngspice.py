"""ngspice as the referee: a circuit in one position as a deck, many decks in one process.

Reference program: ngspice, a general circuit simulator (https://ngspice.sourceforge.io), run in batch.
The decks are made from the circuit's own parts and nets, apart from anything in `panelwright.electrics`.
Closed contacts are resistors of CONTACT_OHMS, open ones are left out; every node has 1 Tohm to earth, and one node of
a section that floats 1 kohm.
"""

from __future__ import annotations

import cmath
import math
import re
import shutil
import subprocess
import tempfile
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path

import networkx as nx

from panelwright.circuit import Circuit, Contact, Device, Diode, Fuse, Link, Load, Part, Source, nets_of

CONTACT_OHMS = 1e-5
SHUNT_OHMS = 1e12
KNEE_V = 0.061  # across the knee of the diode that the referee has, at some 20 mA
VALUE = re.compile(r"^(\S+) = ([-+.\deE]+)(?:,([-+.\deE]+))?\s*$")


@dataclass(frozen=True)
class Deck:
    """A netlist with what to compute (`hertz` 0: the dc operating point) and what to print."""

    lines: tuple[str, ...]
    hertz: float
    nodes: tuple[str, ...]
    amps: tuple[str, ...] = ()


def node_names(circuit: Circuit) -> dict[str, str]:
    """Terminal to deck node; nets that are earthed are node 0."""
    earthed = {s.earthed_at for _, s in circuit.supplies if s.earthed_at} | {"PE"}
    names: dict[str, str] = {}
    for number, net in enumerate(nets_of(circuit), 1):
        node = "0" if earthed & set(net.rails) else f"n{number}"
        names.update(dict.fromkeys(net.terminals, node))
    return names


def deck_of(circuit: Circuit, closed: Iterable[str], hertz: float = 0.0) -> Deck:
    """The circuit with these contacts closed, at one frequency."""
    names, held = node_names(circuit), set(closed)
    lines: list[str] = []
    for device in circuit.devices:
        for part in device.parts:
            lines.extend(part_lines(device, part, names, held, hertz))
    met = {word for line in lines for word in line.split()[1:3]}
    nodes = tuple(node for node in dict.fromkeys(names.values()) if node != "0" and node in met)
    amps = tuple(f"i({line.split()[0]})" for line in lines if line[:2] == "Vm")
    return Deck((*lines, *ties(lines, hertz)), hertz, nodes, amps)


def ties(lines: Sequence[str], hertz: float) -> list[str]:
    """One resistor to earth for every section that floats: no difference inside it changes, and none drowns."""
    graph = nx.Graph()
    for line in lines:
        if line[0] in "VRLD" or (line[0] == "C" and hertz):
            graph.add_edge(*line.split()[1:3])
    loose = [sorted(section)[0] for section in nx.connected_components(graph) if "0" not in section]
    return [f"Rtie{node} {node} 0 1000" for node in sorted(loose)]


def part_lines(device: Device, part: Part, names: dict[str, str], held: set[str], hertz: float) -> list[str]:
    """Deck lines of one part."""
    key = deck_name(f"{device.tag}.{part.name}")
    if isinstance(part, Source):
        return source_lines(device, part, names, key, hertz)
    if not isinstance(part, Contact | Load | Fuse | Link | Diode):
        raise TypeError(f"no deck line for {part}")
    a, b = names.get(f"{device.tag}.{part.a}"), names.get(f"{device.tag}.{part.b}")
    if a is None or b is None:
        return []
    if isinstance(part, Contact):
        return measured(key, a, b, CONTACT_OHMS) if f"{device.tag}.{part.name}" in held else []
    if isinstance(part, Fuse | Link):
        return measured(key, a, b, CONTACT_OHMS)
    if isinstance(part, Diode):
        return diode_lines(part, key, a, b)
    return load_lines(part, key, a, b)


def measured(key: str, a: str, b: str, ohms: float) -> list[str]:
    """A resistance behind a source of 0 V, whose amps ngspice prints."""
    return [f"Vm{key} {a} am{key} dc 0 ac 0", f"R{key} am{key} {b} {ohms!r}"]


def diode_lines(diode: Diode, key: str, a: str, b: str) -> list[str]:
    """A junction with a knee of a few millivolts behind a source of the drop: nearly two straight lines."""
    return [
        f"D{key} {a} kn{key} knee",
        f"Vd{key} kn{key} {b} dc {diode.drop_v - KNEE_V!r} ac 0",
        ".model knee d(is=1e-12 n=0.1 rs=0.05)",
    ]


def load_lines(load: Load, key: str, a: str, b: str) -> list[str]:
    """A resistance, with an inductance or capacitance behind it."""
    if load.sort == "capacitor":
        return [f"C{key} {a} {b} {1 / (2 * math.pi * load.hertz * load.reactance_ohms):.15g}"]
    if not load.reactance_ohms:
        return measured(key, a, b, load.ohms)
    inside = f"in{key}"
    if load.reactance_ohms < 0:
        farads = -1 / (2 * math.pi * load.hertz * load.reactance_ohms)
        return [*measured(key, a, inside, load.ohms), f"C{key} {inside} {b} {farads:.15g}"]
    henry = load.reactance_ohms / (2 * math.pi * load.hertz)
    return [*measured(key, a, inside, load.ohms), f"L{key} {inside} {b} {henry:.15g}"]


def source_lines(device: Device, source: Source, names: dict[str, str], key: str, hertz: float) -> list[str]:
    """One voltage source, or three in a star; with its inner resistance."""
    here = source.current == "dc" if hertz == 0 else source.hertz == hertz
    terminals = [names.get(f"{device.tag}.{mark}", f"loose{key}{mark}") for mark in source.terminals]
    if source.phases == 3:
        star = terminals[3] if len(terminals) > 3 else f"star{key}"
        phases = [(terminals[i], star, cmath.rect(source.volts / math.sqrt(3), -i * math.tau / 3)) for i in range(3)]
    else:
        phases = [(terminals[0], terminals[1], complex(source.volts))]
    lines = []
    for number, (a, b, volts) in enumerate(phases):
        top = f"emf{key}{number}" if source.ohms else a
        dc = volts.real if hertz == 0 and here else 0.0
        ac = (abs(volts), math.degrees(cmath.phase(volts))) if hertz and here else (0.0, 0.0)
        lines.append(f"V{key}{number} {top} {b} dc {dc!r} ac {ac[0]!r} {ac[1]!r}")
        if source.ohms:
            lines.append(f"R{key}{number} {top} {a} {source.ohms!r}")
    return lines


def deck_name(element: str) -> str:
    """An element id as ngspice takes it."""
    return element.lower().replace(".", "_").replace("-", "_")


def run(decks: Sequence[Deck], strict: bool = True) -> list[dict[str, complex]]:
    """Node volts by node name, and amps by "i(vmname)", of every deck, from one process.

    Raises RuntimeError when ngspice is not installed or a value is missing; not `strict`, such a deck has no values.
    """
    if not shutil.which("ngspice"):
        raise RuntimeError("ngspice is not installed; `python3 dev.py test` sets it up, or: apt-get install ngspice")
    with tempfile.TemporaryDirectory() as folder:
        script = [".control", "set numdgt=15", "set nomoremode"]
        for number, deck in enumerate(decks):
            path = Path(folder) / f"deck{number}.cir"
            path.write_text(netlist(deck), encoding="utf-8")
            script += [f"source {path}", *commands(deck, number), "destroy all", "remcirc"]
        control = Path(folder) / "control.cir"
        control.write_text("\n".join(["* many decks", *script, "quit", ".endc", ".end", ""]), encoding="utf-8")
        done = subprocess.run(["ngspice", "-b", str(control)], capture_output=True, text=True, timeout=120)
    return read_output(done.stdout, decks, done.stderr, strict)


def netlist(deck: Deck) -> str:
    """The text of a deck."""
    fine = "reltol=1e-12 vntol=1e-12 abstol=1e-15 gmin=1e-15"
    knees = any(line[0] == "D" for line in deck.lines)  # these it has to find step by step
    options = f".options rshunt={SHUNT_OHMS} {'reltol=1e-5 vntol=1e-5 abstol=1e-9' if knees else fine}"
    models = dict.fromkeys(line for line in deck.lines if line.startswith(".model"))
    parts = [line for line in deck.lines if not line.startswith(".model")]
    return "\n".join(["* one position", *parts, *models, options, ".end", ""])


def commands(deck: Deck, number: int) -> list[str]:
    """Compute and print."""
    analysis = f"ac lin 1 {deck.hertz} {deck.hertz}" if deck.hertz else "op"
    wanted = [f"v({node})" for node in deck.nodes] + [name.lower() for name in deck.amps]
    prints = [f"print {' '.join(wanted[i : i + 20])}" for i in range(0, len(wanted), 20)]
    return [analysis, f"echo deck {number}", *prints]


def read_output(text: str, decks: Sequence[Deck], errors: str, strict: bool) -> list[dict[str, complex]]:
    """Values by deck from what was printed."""
    found: list[dict[str, complex]] = [{} for _ in decks]
    current = -1
    for line in text.splitlines():
        if line.startswith("deck "):
            current = int(line.split()[1])
        elif current >= 0 and (match := VALUE.match(line.strip())):
            name = re.sub(r"^v\((.*)\)$", r"\1", match[1])
            found[current][name] = complex(float(match[2]), float(match[3] or 0))
    for deck, values in zip(decks, found, strict=True):
        missing = set(deck.nodes) - set(values)
        if missing and not strict:
            values.clear()
        elif missing:
            raise RuntimeError(f"ngspice gave no volts for {sorted(missing)[:3]}: {errors[-800:]}")
    return found
