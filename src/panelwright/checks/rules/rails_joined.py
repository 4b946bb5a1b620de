"""Rails of two supplies on one conductor."""

from __future__ import annotations

from collections.abc import Iterator

from ...circuit import Problem
from ..board import Board

CODE = "PW317"


def find(board: Board) -> Iterator[Problem]:
    """Nets that carry rails of different supplies: a mistake, or to be confirmed where both name the same rail."""
    on_net: dict[str, list[tuple[str, str]]] = {}
    for device, source in board.circuit.supplies:
        for rail in source.rails:
            net = board.rail_net(device, source, rail)
            if net is not None and rail != "PE":
                on_net.setdefault(net, []).append((device.tag, rail))
    for places in on_net.values():
        tags = list(dict.fromkeys(tag for tag, _ in places))
        if len(tags) < 2:
            continue
        rails = list(dict.fromkeys(rail for _, rail in places))
        shared = len(rails) == 1
        yield Problem(
            CODE,
            f"{' and '.join(tags)} share the conductor {rails[0]}"
            if shared
            else f"the rails {' and '.join(rails)} are joined",
            "current of one supply can return through the other; with the wrong pair the two are shorted.",
            "if this is meant, nothing needs doing; otherwise give each supply rails of its own."
            if shared
            else "take away the wire between them; give rails that are meant to be one conductor one name.",
            board.circuit.by_tag[tags[0]].span,
            tuple((f"{tag} is declared here", span) for tag in tags[1:] if (span := board.circuit.by_tag[tag].span)),
            severity="told" if shared else "mistake",
            devices=tuple(tags),
        )
