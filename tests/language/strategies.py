"""Generated panel files: valid ones, and ones that a tired hand has typed."""

from __future__ import annotations

from hypothesis import strategies as st

TEXTS = st.sampled_from(["Stop", "Run, held in", 'a "quoted" word', "Pumpe läuft", "# not a comment", ""])
GAPS = st.sampled_from([" ", "  ", "\t", "   "])


def _quoted(text: str) -> str:
    return ' "' + text.replace('"', '""') + '"' if text else ""


@st.composite
def _series(draw: st.DrawFn, contacts: list[str], depth: int = 0) -> str:
    items = []
    for _ in range(draw(st.integers(1, 3))):
        if depth < 2 and draw(st.integers(0, 3)) == 0:
            branches = draw(st.lists(_series(contacts, depth + 1), min_size=2, max_size=3))
            items.append("( " + draw(st.sampled_from([" | ", " or ", "|"])).join(branches) + " )")
        else:
            items.append(draw(st.sampled_from(contacts)))
    return draw(GAPS).join(items)


@st.composite
def panels(draw: st.DrawFn) -> str:
    """A panel file of some buttons, relays and lamps, oddly spaced and commented."""
    buttons = draw(st.integers(1, 4))
    relays = draw(st.integers(1, 4))
    contacts = [f"S{n}.{form}" for n in range(1, buttons + 1) for form in ("no", "nc")]
    contacts += [f"K{n}.{form}{label}" for n in range(1, relays + 1) for form in ("no", "nc") for label in ("", "1")]
    rows = [
        f"panel{_quoted(draw(TEXTS)) or ' ' + chr(34) * 2}",
        "supplies",
        "G1 dc supply 24 V 2 A rails + - earthed at -",
    ]
    rows.append("devices on door")
    rows += [f"{draw(GAPS)}S{n} pushbutton 1 NO + 1 NC{_quoted(draw(TEXTS))}" for n in range(1, buttons + 1)]
    rows.append("devices on plate")
    rows += [f"  K{n}  relay  4 CO  coil 24 V dc  base blade-14{_quoted(draw(TEXTS))}" for n in range(1, relays + 1)]
    rows.append("rungs from + to -")
    rows += [f"  {draw(_series(contacts))}  K{n}.coil{_quoted(draw(TEXTS))}" for n in range(1, relays + 1)]
    rows += ["promises", "  K1 picks up when S1 is pressed", "trial " + (_quoted(draw(TEXTS)) or '"x"')]
    rows += draw(st.lists(st.sampled_from(["  press S1;expect K1 in", "wait 2 s", "", "  # a remark"]), max_size=4))
    at = draw(st.integers(1, len(rows)))
    rows.insert(at, draw(st.sampled_from(["", "# remark", "  # remark", "#"])))
    return "\n".join(rows) + "\n"
