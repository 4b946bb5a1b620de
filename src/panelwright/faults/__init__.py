"""What can break or be wired wrong, and what then becomes of every promise."""

from .fault_list import CircuitFault, fault_list
from .kinds import Kind, NotListed, kinds, not_listed, standard

__all__ = ["CircuitFault", "Kind", "NotListed", "fault_list", "kinds", "not_listed", "standard"]
