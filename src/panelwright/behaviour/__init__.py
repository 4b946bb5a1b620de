"""What happens: a panel worked in time, and its trials."""

from .run import Run
from .state import PanelState
from .trace import Change, Trace

__all__ = ["Change", "PanelState", "Run", "Trace"]
