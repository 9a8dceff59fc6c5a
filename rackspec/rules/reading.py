"""Pages of the rules that reading and linking hold to: in: nothing, out: entries of RULES without a function."""

from __future__ import annotations
