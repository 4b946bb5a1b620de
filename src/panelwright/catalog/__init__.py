"""The catalogue: what the words after a tag mean, kind by kind, each value with its source."""

from .lines import DeviceLine, DeviceReading, Word
from .quantities import read_quantity

__all__ = ["DeviceLine", "DeviceReading", "Word", "read_device", "read_quantity"]


def read_device(line: DeviceLine) -> DeviceReading:
    """Read the words after a tag. Never raises on what somebody typed.

    A wrong line still gives a device, with the parts that could be made out, so that its tag is declared.
    Raises CatalogError when a data file of the catalogue itself is wrong.
    """
    from .read import read_line  # here, so that commands which read no device do not wait for the catalogue

    return read_line(line)
