"""What a meter should read, test sheets, and the search for a fault."""

from .book import Book
from .causes import Cause, causes_of
from .cold_sheet import cold_sheet
from .evidence import Reading, Seen, Unclear
from .judging import Judgement, judge
from .live_sheet import live_sheet
from .meters import Meter, UnknownMeter, meter_called, meters
from .notes import notes_text, read_notes
from .search import Search
from .sheet import Sheet, SheetLine
from .sheet_text import sheet_text, sheet_values
from .situations import Situation, UnclearSituation, situation_called, usual_situations
from .telling_search import search_text, search_values
from .tree import Tree, tree_of, tree_text, tree_values

__all__ = [
    "Book",
    "Cause",
    "Judgement",
    "Meter",
    "Reading",
    "Search",
    "Seen",
    "Sheet",
    "SheetLine",
    "Situation",
    "Tree",
    "Unclear",
    "UnclearSituation",
    "UnknownMeter",
    "causes_of",
    "cold_sheet",
    "judge",
    "live_sheet",
    "meter_called",
    "meters",
    "notes_text",
    "read_notes",
    "search_text",
    "search_values",
    "sheet_text",
    "sheet_values",
    "situation_called",
    "tree_of",
    "tree_text",
    "tree_values",
    "usual_situations",
]
