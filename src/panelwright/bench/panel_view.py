"""What there is on a panel, as the page lists it: controls, devices, terminals, nets, wires."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from ..behaviour import try_trial
from ..circuit import Circuit, Device, Load, two_terminal_parts
from ..sheets.rungs import lines_of
from .meter import meter_names
from .working import Worked

WORKED_BY_HAND = ("push", "latched push", "selector", "spring selector", "field", "trip", "switch")
ANSWERING = ("relay", "latching", "impulse", "alternating", "on-delay", "off-delay", "off-delay without supply",
             "interval", "flasher", "star-delta")  # fmt: skip


def panel_view(worked: Worked, name: str, names: Sequence[str], file: str) -> dict[str, Any]:
    """The panel of a text; of what cannot be wired only the devices are known."""
    return {"name": name, "file": file, "files": list(names), **_wired(worked), **in_words(worked)}


def in_words(worked: Worked) -> dict[str, Any]:
    """The part of it that words alone can change."""
    circuit = worked.circuit
    return {
        "title": circuit.heading.title or "Panel without a title",
        "controls": [_control(device) for device in circuit.devices if device.mechanism.sort in WORKED_BY_HAND],
        "devices": [_device(device) for device in circuit.devices],
        "supplies": [{"tag": device.tag, "text": device.text} for device in circuit.devices if device.sources],
    }


def _wired(worked: Worked) -> dict[str, Any]:
    circuit = worked.wiring.circuit if worked.wiring else worked.circuit
    return {
        "parts": _parts(circuit),
        "terminals": _terminals(worked),
        "has_power": bool(circuit.power_paths),
        "meters": meter_names(),
        "sheets": [[first + 1, end] for first, end in worked.stretches],
        "lines": _lines(worked),
        "nets": _nets(worked),
        "wires": _wires(worked),
        "shortages": [
            f"{one.device} has {one.has} {one.form}, the rungs use {one.needed}."
            for one in (worked.wiring.shortages if worked.wiring else ())
        ],
    }


def _control(device: Device) -> dict[str, Any]:
    moves = device.mechanism
    return {
        "tag": device.tag,
        "text": device.text,
        "colour": device.colour,
        "place": device.place,
        "sort": moves.sort,
        "positions": list(moves.positions),
        "start": moves.start or (moves.positions[0] if moves.positions else ""),
    }


def _device(device: Device) -> dict[str, Any]:
    shows = any(isinstance(part, Load) and not part.drives for part in device.parts)
    answers = device.mechanism.sort in ANSWERING or bool(device.motors) or (shows and not device.sources)
    return {
        "tag": device.tag,
        "kind": device.kind,
        "text": device.text,
        "place": device.place,
        "answers": answers,
        "line": device.span.line if device.span else 0,
    }


def _parts(circuit: Circuit) -> list[dict[str, str]]:
    return [
        {"id": f"{device.tag}.{part.name}", "a": f"{device.tag}.{part.a}", "b": f"{device.tag}.{part.b}"}
        for device in circuit.devices
        for part in two_terminal_parts(device)
    ]


def _terminals(worked: Worked) -> list[tuple[str, list[str]]]:
    """Device to its terminals that a conductor reaches, and the earth."""
    if worked.wiring is None or worked.network is None:
        return []
    known = worked.network.elements.node_of
    found: dict[str, list[str]] = {}
    for device in worked.wiring.circuit.devices:
        marks = [f"{device.tag}.{mark}" for mark in device.terminals if f"{device.tag}.{mark}" in known]
        if marks:
            found[device.tag] = marks
    if "earth" in known:
        found["earth"] = ["earth"]
    return list(found.items())


def _lines(worked: Worked) -> dict[str, int]:
    """Device to the line of the rung drawing that it is found in first: its coil, if it has one."""
    if worked.wiring is None:
        return {}
    lines = lines_of(worked.wiring.circuit)
    found: dict[str, int] = {}
    for element, line in sorted(lines.items(), key=lambda pair: pair[1]):
        part = worked.wiring.circuit.elements[element][1] if element in worked.wiring.circuit.elements else None
        tag = element.partition(".")[0]
        if isinstance(part, Load) and part.drives:
            found[tag] = line
        else:
            found.setdefault(tag, line)
    return found


def _nets(worked: Worked) -> list[dict[str, Any]]:
    if worked.wiring is None:
        return []
    numbers = worked.wiring.numbers
    return [
        {"id": net.id, "number": numbers.get(net.id, net.id), "terminals": list(net.terminals)}
        for net in worked.wiring.nets
    ]


def _wires(worked: Worked) -> list[dict[str, Any]]:
    if worked.wiring is None:
        return []
    return [
        {
            "id": wire.id,
            "number": wire.number,
            "ends": list(wire.ends),
            "net": wire.net,
            "where": _where(wire.places),
            "stage": wire.stage,
            "colour": wire.colour,
            "size": wire.size.text if wire.size else "",
            "core": wire.core_told,
        }
        for wire in worked.wiring.wires
    ]


def _where(places: tuple[str, str]) -> str:
    one, other = places
    return one if one == other else f"{one} to {other}"


def trials_view(worked: Worked) -> list[dict[str, Any]]:
    """How each trial of the text goes: its name and line, whether it passes, what was not as expected."""
    if worked.network is None:
        return []
    results = [try_trial(worked.network, trial) for trial in worked.circuit.trials]
    return [
        {
            "name": result.trial.name,
            "line": result.trial.span.line if result.trial.span else 0,
            "passed": result.passed,
            "seconds": round(result.seconds, 3),
            "failures": [
                {
                    "now": round(failure.now, 3),
                    "message": failure.problem.message,
                    "why": failure.problem.why,
                    "line": failure.problem.span.line if failure.problem.span else 0,
                }
                for failure in result.failures
            ],
        }
        for result in results
    ]
