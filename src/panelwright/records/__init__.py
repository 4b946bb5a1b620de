"""What was tested, by whom, when, and what was read: kept beside the panel file, added to and never changed."""

from .results_file import FilledIn, Misread, form_text, read_results
from .store import Kept, Line, Records, RecordsUnreadable, Sitting, beside, last_results, text_hash

__all__ = [
    "FilledIn",
    "Kept",
    "Line",
    "Misread",
    "Records",
    "RecordsUnreadable",
    "Sitting",
    "beside",
    "form_text",
    "last_results",
    "read_results",
    "text_hash",
]
