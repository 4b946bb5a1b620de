"""What happens: a panel worked in time, and its trials."""

from .buzzing import Buzz
from .injection import FORMS, Injected, inject
from .places import UnclearPlace
from .races import Race
from .run import Run
from .state import PanelState
from .trace import Change, Doing, Trace
from .trials import Failure, TrialResult, try_trial, try_trials

__all__ = [
    "FORMS",
    "Buzz",
    "Change",
    "Doing",
    "Failure",
    "Injected",
    "PanelState",
    "Race",
    "Run",
    "Trace",
    "TrialResult",
    "UnclearPlace",
    "inject",
    "try_trial",
    "try_trials",
]
