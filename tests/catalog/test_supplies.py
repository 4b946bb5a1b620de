"""Supplies: terminals, rails, earth, primaries."""

from __future__ import annotations

from panelwright.circuit import Link, Source

from .typed import codes, device


def source(text: str, standard: str = "IEC") -> Source:
    """The source of a right line."""
    return device(text, standard).sources[0]


def test_a_dc_supply_stands_on_plus_and_minus() -> None:
    """Rails in the order written, the first positive; no inner resistance, it holds its volts up to its amps."""
    found = source("G1 dc supply 24 V 2.5 A rails +24 0V earthed at 0V")

    assert (("+", "-"), ("+24", "0V"), "dc", 24.0, 2.5, 0.0) == (
        found.terminals, found.rails, found.current, found.volts, found.amps, found.ohms,
    )  # fmt: skip
    assert ("0V", "earthed") == (found.earthed_at, found.earthing)


def test_mains_have_one_phase_or_three() -> None:
    """Terminals by the rails' names where those are usual, else by their order; PE carries no volts."""
    wanted = {
        "L mains 230 V 50 Hz rails L N earthed at N": (1, ("L", "N")),
        "L mains 400 V 50 Hz rails L1 L2 L3": (3, ("L1", "L2", "L3")),
        "L mains 400 V 50 Hz rails L1 L2 L3 N PE": (3, ("L1", "L2", "L3", "N", "PE")),
        "L mains 400 V 50 Hz rails N L1 L2 L3": (3, ("L1", "L2", "L3", "N")),
        "L mains 400 V 50 Hz rails R S T PE": (3, ("L1", "L2", "L3", "PE")),
        "G2 generator 230 V 50 Hz rails P N": (1, ("L", "N")),
    }

    for text, (phases, terminals) in wanted.items():
        found = source(text)
        assert (phases, terminals) == (found.phases, found.terminals)


def test_earthing_is_said_or_unsaid() -> None:
    """Three answers; a check may warn about the third."""
    line = "G1 battery 110 V dc rails + -"

    assert ["unsaid", "floating", "earthed"] == [
        source(f"{line} {more}").earthing for more in ("", "floating", "earthed at -")
    ]


def test_a_transformer_has_secondary_and_primary() -> None:
    """Volts of the pair; 5 % regulation: 150 VA at 120 V has 0.05 x 120 / 1.25 = 4.8 ohm."""
    transformer = device("T1 control transformer 480 V / 120 V 150 VA rails X1 X2 earthed at X2", "NA")
    secondary, primary = transformer.sources[0], transformer.loads[0]

    assert (120.0, 150.0, 4.8, 60.0) == (secondary.volts, secondary.va, secondary.ohms, secondary.hertz)
    assert ("primary", 480.0, "") == (primary.name, primary.rated_v, secondary.fed_by)


def test_north_american_primaries_are_linked_for_their_volts() -> None:
    """480 V: H2-H3; 240 V: H1-H3 and H2-H4. Source: North American trade, from memory."""
    links = {"480 V": ["H2-H3"], "240 V": ["H1-H3", "H2-H4"], "600 V": []}
    for volts, wanted in links.items():
        transformer = device(f"T1 control transformer {volts} / 120 V 150 VA rails X1 X2", "NA")
        found = [f"{part.a}-{part.b}" for part in transformer.parts if isinstance(part, Link)]
        assert wanted == found


def test_a_pair_of_volts_can_be_written_in_three_ways() -> None:
    """With a stroke, joined, or with "to"."""
    pairs = ("480 V / 120 V", "480V/120V", "480/120 V", "480 V to 120 V")

    assert {(480.0, 120.0)} == {
        (device(text).loads[0].rated_v, device(text).sources[0].volts)
        for text in (f"T1 control transformer {pair} 150 VA rails X1 X2" for pair in pairs)
    }


def test_a_primary_of_a_dc_supply_may_be_said() -> None:
    """Else the usual house voltage of the file's standard stands in; only used when the file names it."""
    supply = "G1 dc supply 24 V 5 A {} rails + -"

    assert 400.0 == device(supply.format("primary 400 V 50 Hz")).loads[0].rated_v
    assert [230.0, 120.0] == [device(supply.format(""), standard).loads[0].rated_v for standard in ("IEC", "NA")]


def test_split_phase_mains_have_two_halves() -> None:
    """120 V from each line to the neutral, 240 V between the lines: North American house supply, common practice."""
    halves = device("L split-phase mains 120 V / 240 V rails L1 N L2 PE earthed at N", "NA").sources

    assert [(("L1", "N"), 120.0, "N"), (("N", "L2"), 120.0, "N")] == [
        (half.rails, half.volts, half.earthed_at) for half in halves
    ]


def test_rails_too_many_are_reported_and_the_first_declared() -> None:
    """So that rungs between them are read."""
    from .typed import reading

    found = reading("G1 dc supply 24 V rails + - N")

    assert ["PW165"] == [problem.code for problem in found.problems]
    assert ("+", "-") == found.device.sources[0].rails


def test_wrong_supplies_are_reported() -> None:
    """Rails too few, twice, not its own; dc from the mains."""
    assert ["PW165"] == codes("G1 dc supply 24 V rails +")
    assert ["PW164", "PW165"] == codes("G1 dc supply 24 V rails + +")
    assert ["PW165"] == codes("G1 dc supply 24 V rails + - N")
    assert ["PW153"] == codes("G1 dc supply 24 V rails + - 0")
    assert ["PW165"] == codes("L split-phase mains 120 V / 240 V rails L1 L2")
    assert ["PW179"] == codes("L mains 400 V 50 Hz rails L1 L2 N")
    assert ["PW166"] == codes("G1 dc supply 24 V rails + - earthed at N")
    assert ["PW156"] == codes("G1 dc supply 24 V rails + - earthed at - floating")
    assert ["PW177"] == codes("L mains 24 V dc rails L N")
    assert ["PW155"] == codes("G1 dc supply 24 V")


def test_rails_are_declared_even_by_an_unknown_kind() -> None:
    """So that nothing else in the file is reported for that slip."""
    from .typed import reading

    found = reading("G1 flux capacitor 24 V rails + - floating")

    assert ["PW151"] == [problem.code for problem in found.problems]
    assert ("+", "-") == found.device.sources[0].rails
