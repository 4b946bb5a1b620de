"""The catalogue: what the words after a tag mean, kind by kind, each value with its source."""

from .lines import DeviceLine, DeviceReading, Word
from .quantities import read_quantity
from .read import read_device

__all__ = ["DeviceLine", "DeviceReading", "Word", "read_device", "read_quantity"]
