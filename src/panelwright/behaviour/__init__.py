"""What happens: a panel worked in time, and its trials."""

from .buzzing import Buzz
from .charts import Chart, ChartEvent, ChartLine, ChartTime, chart_of
from .injection import FORMS, Injected, fault_words, inject
from .places import UnclearPlace
from .races import Race
from .run import Run
from .state import PanelState
from .telling import Sentence, told
from .times import Paces
from .trace import Change, Doing, Trace
from .trials import Failure, TrialResult, try_steps, try_trial, try_trials

__all__ = [
    "FORMS",
    "Buzz",
    "Change",
    "Chart",
    "ChartEvent",
    "ChartLine",
    "ChartTime",
    "Doing",
    "Failure",
    "Injected",
    "Paces",
    "PanelState",
    "Race",
    "Run",
    "Sentence",
    "Trace",
    "TrialResult",
    "UnclearPlace",
    "chart_of",
    "fault_words",
    "inject",
    "told",
    "try_steps",
    "try_trial",
    "try_trials",
]
