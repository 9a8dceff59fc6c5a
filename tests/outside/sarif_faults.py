"""What no reader of SARIF complains of and is wrong all the same: in: a document and the run it came from, out: faults.

Source: OASIS, Static Analysis Results Interchange Format (SARIF) Version 2.1.0 plus Errata 01, sections named below.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any
from urllib.parse import unquote, urlsplit

from tests.outside.machine import Outputs

URI = re.compile(r"(?:[A-Za-z0-9._~/-]|%[0-9A-F]{2})+")
"""A relative reference of unreserved characters and percent-encoded bytes (RFC 3986, 2.1 and 2.3)."""
CLOCK = re.compile(r"utc$|time", re.IGNORECASE)
REGION = ("startLine", "startColumn", "endLine", "endColumn")


def walk(value: Any) -> Iterator[tuple[str, Any]]:
    """All keys of a document, however deep, with their values."""
    if isinstance(value, dict):
        for key, inner in value.items():
            yield key, inner
            yield from walk(inner)
    elif isinstance(value, list):
        for inner in value:
            yield from walk(inner)


def text_of(folder: Path, uri: str) -> str | None:
    """The text of a file that an URI names, or None: it is not there, or cannot be read as text."""
    try:
        return (folder / unquote(uri, errors="surrogateescape")).read_bytes().decode("utf-8").removeprefix("\ufeff")
    except (OSError, UnicodeDecodeError, ValueError):
        return None


def spanned(text: str, region: dict[str, int]) -> str:
    """What a region covers, with columns in units of UTF-16 (3.30.4 to 3.30.8). Raises ValueError outside of it."""
    lines = [line.encode("utf-16-le") for line in text.split("\n")]
    first, last = region["startLine"] - 1, region["endLine"] - 1
    start, end = (region["startColumn"] - 1) * 2, (region["endColumn"] - 1) * 2
    if not (0 <= first <= last < len(lines) and 0 <= start <= len(lines[first]) and 0 <= end <= len(lines[last])):
        raise ValueError("outside of the text")
    covered = [*lines[first:last], lines[last][:end]]
    covered[0] = covered[0][start:]
    return "\n".join(part.decode("utf-16-le") for part in covered)


def in_code_points(text: str, finding: dict[str, Any]) -> str:
    """What the JSON document says is covered: its columns count code points."""
    lines = text.split("\n")
    covered = [*lines[finding["line"] - 1 : finding["end_line"] - 1], lines[finding["end_line"] - 1]]
    covered[-1] = covered[-1][: finding["end_column"] - 1]
    covered[0] = covered[0][finding["column"] - 1 :]
    return "\n".join(covered)


def uri_faults(uri: str) -> Iterator[str]:
    """An URI has to be relative and encoded."""
    if urlsplit(uri).scheme or uri.startswith("/"):
        yield f"absolute: {uri}"
    elif not URI.fullmatch(uri):
        yield f"not encoded: {uri}"


def region_faults(region: dict[str, int], folder: Path, uri: str, finding: dict[str, Any] | None) -> Iterator[str]:
    """A region has all four fields and covers what the finding of the JSON document is about, if that is given."""
    if sorted(region) != sorted(REGION):
        yield f"not the four fields: {sorted(region)}"
        return
    if min(region.values()) < 1:
        yield "counted from 0"
    text = text_of(folder, uri)
    if text is None:
        return
    try:
        covers = spanned(text, region)
    except (ValueError, UnicodeDecodeError) as error:
        yield f"a region of no text: {error}"
        return
    if finding is not None and covers != in_code_points(text, finding):
        yield f"covers {covers!r}"


def result_faults(
    result: dict[str, Any], finding: dict[str, Any], rules: list[dict[str, Any]], folder: Path
) -> Iterator[str]:
    """A result is the finding of the JSON document."""
    index = result.get("ruleIndex", -1)
    if not 0 <= index < len(rules) or rules[index]["id"] != result.get("ruleId"):  # 3.27.6
        yield f"ruleIndex {index} is not {result.get('ruleId')}"
    if (result.get("ruleId"), result.get("level")) != (finding["rule"], finding["severity"]):
        yield "another rule or level than in JSON"
    text = result.get("message", {}).get("text", "")
    if not text.endswith(".") or re.search(r"\{[0-9]+\}(?!\})|\]\(", text):  # 3.11.5, 3.11.6
        yield f"message: {text}"
    locations = result.get("locations", [])
    if len(locations) != 1:
        yield f"{len(locations)} locations"
    for number, location in enumerate([*locations, *result.get("relatedLocations", [])]):
        physical = location["physicalLocation"]
        uri = physical["artifactLocation"]["uri"]
        yield from uri_faults(uri)
        yield from region_faults(physical.get("region", {}), folder, uri, None if number else finding)
        if number and not location.get("message", {}).get("text"):
            yield "a related location that says nothing"
    if len(result.get("relatedLocations", [])) != len(finding["places"]):
        yield "not all other places"
    suppressions = result.get("suppressions")
    if not isinstance(suppressions, list) or len(suppressions) != (finding["waived"] is not None):  # 3.27.23
        yield f"suppressions {suppressions}"
    elif any(not each.get("justification") or each["kind"] != "inSource" for each in suppressions):
        yield "a suppression without reason"


def faults(document: dict[str, Any], seen: Outputs) -> list[str]:
    """Everything that is wrong with a document of a run."""
    (run,) = document["runs"]
    driver = run["tool"]["driver"]
    rules = driver.get("rules", [])
    found = [f"clock: {key}" for key, _ in walk(document) if CLOCK.search(key)]
    if str(seen.folder) in str(document):
        found.append("names the folder it ran in")
    if run.get("columnKind") != "utf16CodeUnits":
        found.append("no columnKind")
    if "sarif-schema-2.1.0" not in document.get("$schema", ""):
        found.append("no $schema")
    for rule in rules:
        texts = [rule.get(key, {}).get("text") for key in ("shortDescription", "fullDescription", "help")]
        if not all(texts) or rule.get("defaultConfiguration", {}).get("level") not in ("error", "warning", "note"):
            found.append(f"half a rule: {rule['id']}")
    results = run["results"]
    if len(results) != len(seen.findings):
        found.append(f"{len(results)} results")
    for result, finding in zip(results, seen.findings, strict=False):
        found += result_faults(result, finding, rules, seen.folder)
    keys = [tuple(sorted(result.get("partialFingerprints", {}).items())) for result in results]
    if () in keys or len(set(keys)) != len(keys):
        found.append("fingerprints that are missing or not unique")
    if any(not re.search(r"/v[0-9]+$", name) for key in keys for name, _ in key):  # 3.27.17
        found.append("a fingerprint without version")
    return found
