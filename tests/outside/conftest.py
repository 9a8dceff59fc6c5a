"""What the tests of documents share: each folder of specs is inspected once, and everything is written."""

from __future__ import annotations

import pytest

from tests.outside.machine import CORPORA, Outputs, outputs


@pytest.fixture(scope="session")
def all_outputs(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Outputs]:
    """The documents of all folders of specs, by name."""
    found = {}
    for name, fill in CORPORA.items():
        folder = tmp_path_factory.mktemp(name)
        fill(folder)
        found[name] = outputs(folder, ".", "--fail-at", "error")
    return found


@pytest.fixture(params=sorted(CORPORA))
def seen(request: pytest.FixtureRequest, all_outputs: dict[str, Outputs]) -> Outputs:
    """The documents of each folder of specs, one after the other."""
    return all_outputs[request.param]
