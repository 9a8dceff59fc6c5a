"""A folder of YAML files in a fresh process: in: the folder, out: nothing; each file loaded and validated.

Run by ``repository.py`` with the Python of the temporary environment; imports nothing else of the tests.
"""

from __future__ import annotations

import gc
import json
import sys
from pathlib import Path

import jsonschema_rs
import yaml


def main() -> None:
    """The argument is the folder."""
    gc.disable()  # as the program does it
    schema = json.loads((Path(__file__).parent / "schema.json").read_text(encoding="utf-8"))
    validator = jsonschema_rs.validator_for(schema)
    documents = []
    for path in sorted(Path(sys.argv[1]).rglob("*.yaml")):
        with open(path, encoding="utf-8") as file:
            document = yaml.load(file, yaml.CSafeLoader)
        validator.validate(document)
        documents.append(document)
    assert documents


if __name__ == "__main__":
    main()
