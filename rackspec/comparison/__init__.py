"""Two results held against each other: in: an old result and a new one, out: what the change does."""

from rackspec.comparison.record import Comparison
from rackspec.comparison.refuse import refused
from rackspec.comparison.whole import compare

__all__ = ["Comparison", "compare", "refused"]
