"""What the file says of a motor, as its nameplate would."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from ..catalog.quantities import WATTS_PER_HP
from ..circuit import Circuit, Device, Fact, Motor
from .answers import line_with


@dataclass(frozen=True, slots=True)
class Plate:
    """One winding of one motor; what is not said is None or "".

    `kind`: "three-phase", "single-phase", "wound-rotor", "dc". `line`: the line of the file, without its text.
    """

    tag: str
    part: str
    text: str
    kind: str
    device_kind: str
    line: str
    leads: tuple[str, ...]
    volts: float
    volts_text: str
    watts: float
    power_text: str
    plate_a: float | None = None
    plate_text: str = ""
    code: str = ""
    design: str = ""
    service_factor: float | None = None
    rise_c: float | None = None
    power_factor: float | None = None
    efficiency: float | None = None
    rpm: float | None = None
    locked_rotor_a: float | None = None
    words: frozenset[str] = frozenset()

    @property
    def hp(self) -> float:
        """Its power in horsepower."""
        return self.watts / WATTS_PER_HP

    @property
    def in_hp(self) -> bool:
        """Whether the power was typed in horsepower."""
        return "hp" in self.power_text.lower() or "horse" in self.power_text.lower()

    @property
    def name(self) -> str:
        """The tag, with the winding of a motor that has several."""
        return self.tag if self.part == "motor" else f"{self.tag}.{self.part}"

    @property
    def phases(self) -> int:
        """3 or 1; dc counts as 1."""
        return 3 if self.kind in ("three-phase", "wound-rotor") else 1


def plates_of(circuit: Circuit) -> tuple[Plate, ...]:
    """Every winding of every motor, in file order."""
    return tuple(plate for device in circuit.devices for plate in _plates(device))


def _plates(device: Device) -> Iterator[Plate]:
    facts = {fact.name: fact for fact in device.facts}
    for motor in device.motors:
        own = facts.get("amps" if motor.name == "motor" else f"{motor.name} amps")
        yield Plate(
            device.tag, motor.name, device.text, _kind(device, motor), device.kind, line_with(device), motor.leads,
            motor.volts, _text(facts.get("volts")), motor.watts, _typed(facts.get("watts")), _value(own), _text(own),
            _letter(facts.get("code letter")), _letter(facts.get("design letter")),
            _value(facts.get("service factor")), _value(facts.get("temperature rise")),
            _value(facts.get("power factor")), _share(facts.get("efficiency")),
            _value(facts.get("speed")), _value(facts.get("locked rotor")),
            frozenset(fact.name for fact in device.facts if fact.quantity is None),
        )  # fmt: skip


def _kind(device: Device, motor: Motor) -> str:
    if device.kind == "dc motor":
        return "dc"
    if device.kind == "wound-rotor motor":
        return "wound-rotor"
    return "three-phase" if motor.phases == 3 else "single-phase"


def _value(fact: Fact | None) -> float | None:
    return fact.quantity.value if fact is not None and fact.quantity is not None else None


def _share(fact: Fact | None) -> float | None:
    percent = _value(fact)
    return None if percent is None else percent / 100


def _text(fact: Fact | None) -> str:
    return fact.quantity.text if fact is not None and fact.quantity is not None else ""


def _typed(fact: Fact | None) -> str:
    """The whole fact as it was typed: "1/2 hp"."""
    return fact.text if fact is not None else ""


def _letter(fact: Fact | None) -> str:
    return fact.text.split()[-1].upper() if fact is not None else ""
