"""The examples have no mistake but those that they show on purpose."""

from pathlib import Path

import pytest

from panelwright.checks import check
from panelwright.language import read

# what each file shows on purpose; its notes say so
ON_PURPOSE = {
    "c01-bench-lamp": {"PW307"},  # switch on the earthed side
    "c07-hoist-no-interlock": {"PW313"},
    "c25-start-on-earthed-side": {"PW307"},
}


@pytest.mark.parametrize("path", sorted(Path("examples").rglob("*.panel")), ids=lambda p: p.stem)
def test_only_mistakes_on_purpose(path):
    """Nothing is found that the source does not say."""
    problems = check(read(path.read_bytes()).circuit)

    assert ON_PURPOSE.get(path.stem, set()) == {p.code for p in problems if p.severity == "mistake"}
