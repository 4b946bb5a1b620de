"""What can be wrong with the words after a tag: one function for each problem code, PW150 to PW199."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from difflib import get_close_matches

from ..circuit import Problem, Severity, Span
from .shelf import plain


def _problem(
    code: str, message: str, why: str, mend: str, span: Span, severity: Severity = "mistake", tag: str = ""
) -> Problem:
    return Problem(code, message, why, mend, span, severity=severity, devices=(tag,) if tag else ())


def nearest(word: str, known: Iterable[str], cutoff: float = 0.6) -> str:
    """The known word most like this one, "" when none is."""
    spellings: dict[str, str] = {}
    for one in known:
        spellings.setdefault(plain(one), one)
    found = get_close_matches(plain(word), spellings, n=1, cutoff=cutoff)
    return spellings[found[0]] if found else ""


def listed(words: Sequence[str], most: int = 7, last: str = "or") -> str:
    """`a, b or c`; beyond `most` the rest is only mentioned."""
    if len(words) > most:
        return ", ".join(words[:most]) + " and others"
    return f" {last} ".join(filter(None, [", ".join(words[:-1]), *words[-1:]]))


def a(noun: str) -> str:
    """The noun with its article, as a message begins with it."""
    return f"{'an' if noun[:1].lower() in 'aeiou' or noun[:3] == 'LED' else 'a'} {noun}"


def no_kind(tag: str, span: Span) -> Problem:
    """PW150."""
    return _problem(
        "PW150",
        f"{tag} has no kind",
        "the first words after a tag say what the device is.",
        f"write it after the tag, for example: {tag}  pushbutton  1 NO.",
        span,
        tag=tag,
    )


def unknown_kind(tag: str, word: str, near: Sequence[str], span: Span) -> Problem:
    """PW151."""
    mend = f"write {listed(near, 5)}." if near else "see docs/look-up/kinds.md for all kinds."
    return _problem(
        "PW151",
        f'there is no device kind "{word}"',
        "contacts, terminals and times of a device come from its kind.",
        mend,
        span,
        tag=tag,
    )


def unknown_fact(kind: str, word: str, near: str, forms: Sequence[str], span: Span) -> Problem:
    """PW152."""
    mend = f"write {near}." if near else f"{a(kind)} takes {listed(forms)}."
    return _problem(
        "PW152",
        f'{a(kind)} knows no fact "{word}"',
        "nothing is guessed: a word that is not understood might be the one that matters.",
        mend,
        span,
    )


def zero_for_o(kind: str, typed: str, span: Span) -> Problem:
    """PW152."""
    return _problem(
        "PW152",
        f'{a(kind)} knows no fact "{typed}"',
        "there is the digit 0 in it, where the letter O belongs.",
        f"write {typed[:-1]}O.",
        span,
    )


def no_unit(number: str, examples: Sequence[str], span: Span) -> Problem:
    """PW153."""
    mend = f"write the unit behind it, as in {listed(examples, 3)}." if examples else (
        "write the unit behind it, or take the number out."
    )  # fmt: skip
    return _problem(
        "PW153",
        f"the number {number} has no unit",
        "a bare number could be volts, amps, seconds or poles.",
        mend,
        span,
    )


def decimal_comma(number: str, span: Span) -> Problem:
    """PW154."""
    whole, part = number.split(",")
    or_else = f", or {whole}{part} if the comma parts thousands" if len(part) == 3 else ""
    return _problem(
        "PW154",
        f"the number {number} has a decimal comma",
        "a comma can mean a decimal or thousands, so it is not guessed.",
        f"write {whole}.{part}{or_else}.",
        span,
    )


def missing_fact(tag: str, kind: str, says: str, form: str, span: Span) -> Problem:
    """PW155."""
    return _problem(
        "PW155",
        f"{tag} does not say its {says}",
        f"{a(kind)} cannot be computed without it.",
        f"add it, for example: {form}.",
        span,
        tag=tag,
    )


def said_twice(says: str, first: str, second: str, span: Span, first_span: Span) -> Problem:
    """PW156."""
    return Problem(
        "PW156",
        f"the {says} is said twice: {first} and {second}",
        "only one of them can be right.",
        "take one out.",
        span,
        (("first said here", first_span),),
    )


def incomplete_fact(lead: str, form: str, says: str, span: Span) -> Problem:
    """PW157."""
    return _problem(
        "PW157",
        f'something is missing or wrong behind "{lead}"',
        f"it begins the {says}.",
        f"write it as in: {form}.",
        span,
    )


def not_of_this_kind(kind: str, says: str, text: str, meant: str, others: Sequence[str], span: Span) -> Problem:
    """PW158."""
    where = f"; this one belongs to {listed(others, 4, 'and')}" if others else ""
    return _problem(
        "PW158",
        f"{a(kind)} has no {says}: {text}",
        f"every fact has to be one that the kind knows{where}.",
        f"write {meant}." if meant else "take it out, or change the kind.",
        span,
    )


def base_too_small(tag: str, base: str, poles: int, span: Span) -> Problem:
    """PW159."""
    return _problem(
        "PW159",
        f"{tag} has more contacts than the base {base} has poles ({poles})",
        "each change-over, make or break contact takes one pole of the base.",
        "take a larger base, fewer contacts, or a second relay.",
        span,
        tag=tag,
    )


def unknown_name(what: str, word: str, near: str, known: Sequence[str], span: Span) -> Problem:
    """PW160: a base, a suppressor or a colour that the catalogue does not hold."""
    return _problem(
        "PW160",
        f'there is no {what} "{word}"',
        f"the catalogue knows {listed(known, 12, 'and')}.",
        f"write {near}." if near else "take one of these.",
        span,
    )


def wrong_marks(tag: str, marks: str, form: str, wanted: int, span: Span) -> Problem:
    """PW161."""
    return _problem(
        "PW161",
        f"the marks {marks} do not fit a contact of {tag} ({form})",
        f"it has {wanted} terminals, each mark once on the device.",
        "write them as printed, such as (13-14), for a change-over common-break-make (11-12-14).",
        span,
        tag=tag,
    )


def not_timed(kind: str, text: str, span: Span) -> Problem:
    """PW162."""
    return _problem(
        "PW162",
        f"{a(kind)} has no timed or instantaneous contacts: {text}",
        "only a timer tells the two apart.",
        "take the word out, or make the device a timer.",
        span,
    )


def wrong_suppressor(tag: str, name: str, current: str, span: Span) -> Problem:
    """PW163."""
    return _problem(
        "PW163",
        f"a {name} cannot stand across the coil of {tag}",
        f"a {name} is for {current} only; here it would short one half-wave of the supply.",
        "take a varistor or an RC element.",
        span,
        tag=tag,
    )


def rail_twice(tag: str, text: str, span: Span) -> Problem:
    """PW164."""
    return _problem(
        "PW164", f"{tag} names one rail twice: {text}", "both ends of the supply would be joined.",
        "give each rail its own name.", span, tag=tag,
    )  # fmt: skip


def wrong_rails(tag: str, kind: str, number: int, least: int, most: int, span: Span) -> Problem:
    """PW165."""
    wanted = f"{most} rails" if least == most else f"{least} to {most} rails and perhaps PE"
    form = {2: "rails + -", 3: "rails L1 N L2"}.get(most, "rails L1 L2 L3 PE")
    return _problem(
        "PW165",
        f"{tag} names {number} rail{'' if number == 1 else 's'}",
        f"{a(kind)} stands on {wanted}.",
        f"write them as in: {form}.",
        span,
        tag=tag,
    )


def two_phases(tag: str, text: str, span: Span) -> Problem:
    """PW179."""
    return _problem(
        "PW179",
        f"{tag} has a neutral but not three phases: {text}",
        "two phases of a three-phase supply and a house supply with a middle wire stand differently to each other.",
        "name all three phases (rails L1 L2 L3 N), or make it split-phase mains with rails L1 N L2.",
        span,
        tag=tag,
    )


def not_its_rail(tag: str, rail: str, rails: Sequence[str], near: str, span: Span) -> Problem:
    """PW166."""
    return _problem(
        "PW166",
        f"{tag} is earthed at {rail}, which is not one of its rails",
        f"its rails are {listed(rails, last='and')}.",
        f"write earthed at {near}." if near else "name one of its rails.",
        span,
        tag=tag,
    )


def wrong_positions(tag: str, text: str, span: Span) -> Problem:
    """PW167."""
    return _problem(
        "PW167", f"{tag} needs at least two different positions: {text}", "a selector is known by its positions.",
        "write them in the order of turning, such as HAND OFF AUTO.", span, tag=tag,
    )  # fmt: skip


def no_such_position(tag: str, name: str, positions: Sequence[str], near: str, span: Span) -> Problem:
    """PW168."""
    return _problem(
        "PW168",
        f"{tag} has no position {name}",
        f"its positions are {listed(positions, last='and')}." if positions else "it names no positions.",
        f"write {near}." if near else "name one of its positions.",
        span,
        tag=tag,
    )


def mark_taken(tag: str, name: str, span: Span) -> Problem:
    """PW169."""
    return _problem(
        "PW169", f"{tag} has two parts {name}", "every pair of terminals is one part.",
        "write other marks in brackets behind the contacts.", span, tag=tag,
    )  # fmt: skip


def ac_or_dc(tag: str, text: str, lead: str, volts: str, span: Span) -> Problem:
    """PW170."""
    before = f"{lead} " if lead else ""
    return _problem(
        "PW170",
        f"{tag} does not say whether {text} is ac or dc",
        "pick-up, current and suppressor depend on it.",
        f"write {before}{volts} dc, {before}{volts} ac or the frequency, {before}{volts} 60 Hz.",
        span,
        tag=tag,
    )


def nothing_of_it(tag: str, says: str, text: str, form: str, span: Span) -> Problem:
    """PW171."""
    return _problem(
        "PW171", f"the {says} of {tag} cannot be nothing: {text}", "every quantity here is above zero.",
        f"write it as in: {form}.", span, tag=tag,
    )  # fmt: skip


def too_many(tag: str, text: str, most: int, span: Span) -> Problem:
    """PW172."""
    return _problem(
        "PW172", f"{tag} has too many: {text}", f"at most {most} are built of one device.",
        "divide it into several devices.", span, tag=tag,
    )  # fmt: skip


def range_upside_down(tag: str, text: str, low: str, high: str, span: Span) -> Problem:
    """PW173."""
    return _problem(
        "PW173", f"the range of {tag} is upside down: {text}", "the lower end comes first.",
        f"write {high} to {low}.", span, tag=tag,
    )  # fmt: skip


def outside_range(tag: str, setting: str, text: str, span: Span, range_span: Span) -> Problem:
    """PW174."""
    return Problem(
        "PW174", f"{tag} cannot be set so: {setting} is outside its range {text}",
        "the dial ends before.", "set it within the range, or take the next size.", span,
        (("the range", range_span),), devices=(tag,),
    )  # fmt: skip


def cannot_be(
    tag: str, says: str, text: str, least: float | None, most: float | None, form: str, span: Span
) -> Problem:
    """PW181."""
    bounds = [f"not {word} {end:g}" for word, end in (("below", least), ("above", most)) if end is not None]
    return _problem(
        "PW181", f"the {says} of {tag} cannot be: {text}", f"it is {' and '.join(bounds)}.",
        f"write it as in: {form}.", span, tag=tag,
    )  # fmt: skip


def pattern_needed(tag: str, text: str, positions: Sequence[str], span: Span) -> Problem:
    """PW175."""
    first = positions[0] if positions else "HAND"
    return _problem(
        "PW175",
        f"it is not clear in which positions of {tag} the contacts {text} are closed",
        "only with two positions make means the second and break the first.",
        f"take them out and name positions in the rungs ({tag}.{first}), or write 13-14 closed at {first}.",
        span,
        tag=tag,
    )


def no_such_pin(tag: str, mark: str, base: str, span: Span) -> Problem:
    """PW176."""
    return _problem(
        "PW176", f"the base {base} of {tag} has no terminal {mark}", "a contact written in brackets names its pins.",
        "write the pin numbers of the base, or leave the brackets out.", span, tag=tag,
    )  # fmt: skip


def wrong_current(tag: str, kind: str, current: str, span: Span) -> Problem:
    """PW177."""
    return _problem(
        "PW177", f"{tag} cannot give this: {a(kind)} gives {current}", "the kind fixes ac or dc.",
        f"write {current}, or take another kind.", span, tag=tag,
    )  # fmt: skip


def too_many_marks(number: int, marks: int, form: str, span: Span) -> Problem:
    """PW178."""
    return _problem(
        "PW178",
        f"there are marks for {marks} contacts behind {number} {form}",
        "each pair of marks belongs to one contact.",
        f"write {marks} {form}, or take marks out.",
        span,
    )


def no_number(word: str, span: Span) -> Problem:
    """PW180."""
    return _problem(
        "PW180", f"{word} stands without a number", "how many contacts the device has is not guessed.",
        f"write 1 {word}.", span,
    )  # fmt: skip
