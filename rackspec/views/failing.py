"""The failing level: in: findings and a level, out: whether they make the run fail."""

from rackspec.findings import SEVERITIES, Finding
from rackspec.pipeline import Result

NEVER = "never"
LEVELS = (*SEVERITIES, NEVER)
"""From this severity on a run fails; from ``never`` on, none does."""


def is_failing(finding: Finding, level: str) -> bool:
    """Whether a finding is at or above the level and is not waived."""
    if level == NEVER or finding.waiver is not None:
        return False
    return SEVERITIES.index(finding.severity) <= SEVERITIES.index(level)


def fails(result: Result, level: str) -> bool:
    """Whether the findings of a run make it fail."""
    return any(is_failing(finding, level) for finding in result.findings)
