"""The one list of rules. A code is never used again, not even after its rule is gone."""

from __future__ import annotations

from importlib import import_module
from pkgutil import iter_modules

from . import rules
from .rule import Rule


def _found() -> tuple[Rule, ...]:
    found: list[Rule] = []
    for entry in iter_modules(rules.__path__):
        module = import_module(f"{rules.__name__}.{entry.name}")
        found.append(Rule(module.CODE, entry.name.replace("_", "-"), module.find))
    return tuple(sorted(found, key=lambda rule: rule.code))


RULES: tuple[Rule, ...] = _found()
