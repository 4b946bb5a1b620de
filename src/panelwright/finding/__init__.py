"""What a meter should read, test sheets, and the search for a fault."""

from .book import Book
from .causes import Cause, causes_of
from .evidence import Reading, Seen, Unclear
from .meters import Meter, UnknownMeter, meter_called, meters
from .search import Search
from .situations import Situation, UnclearSituation, situation_called, usual_situations
from .telling_search import search_text, search_values

__all__ = [
    "Book",
    "Cause",
    "Meter",
    "Reading",
    "Search",
    "Seen",
    "Situation",
    "Unclear",
    "UnclearSituation",
    "UnknownMeter",
    "causes_of",
    "meter_called",
    "meters",
    "search_text",
    "search_values",
    "situation_called",
    "usual_situations",
]
