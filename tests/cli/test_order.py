"""``order`` goes in with its options; exit codes, streams and documents come out as the contract says."""

from __future__ import annotations

import csv
import io
import json
from fractions import Fraction
from pathlib import Path

import pytest
from jsonschema import Draft202012Validator

from rackspec.views.schema import schema_text
from tests.cli.running import rackspec, write
from tests.conftest import ROOT

DAY = ("--on", "2026-11-25")
RACK = """\
use "parts.rackspec"
rack tray {
    stage later
    have 1 of osc
    row top {
        length 84HP
        at 0HP osc
        next osc as second in later
        next blank 4HP
    }
}
"""
FILES = {
    "parts.rackspec": "module osc {\n    width 8HP\n    draws nothing\n    price 90 EUR\n}\n",
    "near.rackspec": 'use "parts.rackspec"\nseller near {\n    ships 4 EUR\n    sells osc at 80 EUR\n}\n',
    "far.rackspec": 'use "parts.rackspec"\nseller far {\n    ships 2 EUR\n    sells blank 4HP at 1 EUR\n}\n',
    "tray.rackspec": RACK,
}


def test_every_seller_that_is_named_is_asked(tmp_path: Path) -> None:
    """The rack's file uses no seller; whoever stands on the command line sells all the same."""
    write(tmp_path, FILES)
    run = rackspec(tmp_path, "order", "--parts", *DAY)
    assert (run.code, run.err) == (0, "")
    assert "near 80 EUR" in run.out
    assert "far 1 EUR" in run.out
    alone = rackspec(tmp_path, "order", "--parts", "tray.rackspec", "near.rackspec", *DAY)
    assert "near 80 EUR" in alone.out
    assert "far 1 EUR" not in alone.out
    less = rackspec(tmp_path, "order", "--parts", "--without", "near", *DAY)
    assert "near 80 EUR" not in less.out
    assert "far 1 EUR" in less.out


def test_a_stage_of_its_own(tmp_path: Path) -> None:
    """The start has one blank to buy, the stage one module; ``start`` is the name of the start."""
    write(tmp_path, FILES)
    found = {}
    for stage in ("start", "later"):
        run = rackspec(tmp_path, "order", "--parts", "--stage", stage, "--write", "json=-", *DAY)
        assert run.code == 0
        (rack,) = json.loads(run.out)["racks"]
        found[stage] = {part["thing"]: part["to_buy"] for part in rack["parts"] if part["to_buy"]}
        assert rack["stages"] == [None if stage == "start" else stage]
    assert found == {"start": {"blank 4HP": 1}, "later": {"osc": 1}}


def test_a_stage_that_is_called_start(tmp_path: Path) -> None:
    """Its name is its own."""
    write(tmp_path, {**FILES, "tray.rackspec": RACK.replace("later", "start")})
    run = rackspec(tmp_path, "order", "--parts", "--stage", "start", "--write", "json=-", *DAY)
    (rack,) = json.loads(run.out)["racks"]
    assert rack["stages"] == ["start"]


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        (("--rack", "trai"), "no rack is called 'trai' here; there are: tray; did you mean 'tray'?"),
        (("--stage", "latr"), "no stage is called 'latr' here; there are: start, later; did you mean 'later'?"),
        (("--without", "nera"), "no seller is called 'nera' here; there are: far, near; did you mean 'near'?"),
        (("--parcels", "2"), "--parcels is about an order; it does not go with --parts"),
        (("--write", "xml=out"), "--write knows no kind 'xml'; known: json, csv, markdown"),
        (("--write", "csv=tray.rackspec"), "tray.rackspec would be overwritten"),
        (("--write", "csv=-", "--write", "json=-"), "only one document can go to standard output"),
        (("--on", "tomorrow"), "--on takes a date like 2026-11-02, not 'tomorrow'"),
    ],
)
def test_what_cannot_be_done_is_one_line(tmp_path: Path, arguments: tuple[str, ...], told: str) -> None:
    """Exit 2, nothing on standard output, and what there is instead."""
    write(tmp_path, FILES)
    run = rackspec(tmp_path, "order", "--parts", *arguments)
    assert (run.code, run.out) == (2, "")
    assert told in run.err
    assert run.err.count("\n") == 1
    assert (tmp_path / "tray.rackspec").read_text("utf-8") == RACK


@pytest.mark.parametrize("number", ["0", "-1", "two", "1.5", "99999", "²"])
def test_parcels_are_counted_from_one(tmp_path: Path, number: str) -> None:
    """Anything else is no number of parcels."""
    write(tmp_path, FILES)
    run = rackspec(tmp_path, "order", f"--parcels={number}")
    assert (run.code, run.out) == (2, "")
    assert f"--parcels takes a whole number from 1 on, not '{number}'" in run.err


def test_nothing_here(tmp_path: Path) -> None:
    """No rack, no seller, no such path."""
    assert "there is no rack here to order for" in rackspec(tmp_path, "order", "--parts").err
    write(tmp_path, {"tray.rackspec": "rack tray {\n    row top {\n        length 84HP\n    }\n}\n"})
    assert "no seller is known here" in rackspec(tmp_path, "order", "--parts", "--without", "x").err
    gone = rackspec(tmp_path, "order", "--parts", "gone", "tray.rackspec")
    assert (gone.code, gone.err) == (2, "rackspec: gone: there is no such file or folder\n")
    assert "Nothing is needed" in gone.out


def test_documents_beside_the_text(tmp_path: Path) -> None:
    """Text goes to standard error as soon as a document takes standard output; files get the same bytes."""
    write(tmp_path, FILES)
    text = rackspec(tmp_path, "order", "--parts", *DAY).out
    for kind in ("json", "csv", "markdown"):
        to_stream = rackspec(tmp_path, "order", "--parts", "--write", f"{kind}=-", *DAY)
        to_file = rackspec(tmp_path, "order", "--parts", "--write", f"{kind}=out.{kind}", *DAY)
        assert (to_stream.code, to_stream.err) == (0, text)
        assert (to_file.code, to_file.out, to_file.err) == (0, text, "")
        assert (tmp_path / f"out.{kind}").read_bytes() == to_stream.raw_out
    assert rackspec(tmp_path, "order", "--parts", "--markdown", *DAY).out == (tmp_path / "out.markdown").read_text(
        "utf-8"
    )


def test_from_standard_input(tmp_path: Path) -> None:
    """A spec without a file, which stands where it says."""
    write(tmp_path, {name: text for name, text in FILES.items() if name != "tray.rackspec"})
    run = rackspec(tmp_path, "order", "--parts", "-", "near.rackspec", "--named", "tray.rackspec", stdin=RACK.encode())
    assert (run.code, run.err) == (0, "")
    assert "near 80 EUR" in run.out


def test_what_was_not_understood_is_told(tmp_path: Path) -> None:
    """The list is written all the same, says that it may lack something, and the exit code is 1."""
    write(tmp_path, {**FILES, "tray.rackspec": RACK.replace("next osc as", "nxt osc as")})
    run = rackspec(tmp_path, "order", "--parts", "--write", "json=out.json", *DAY)
    assert run.code == 1
    assert "unknown-word" in run.err
    assert run.out.startswith("Something is missing here: not every line was understood")
    assert json.loads((tmp_path / "out.json").read_text("utf-8"))["complete"] is False


def test_what_inspect_finds_is_told(tmp_path: Path) -> None:
    """A rack that cannot be built can be listed, and says so first."""
    write(tmp_path, {**FILES, "tray.rackspec": RACK.replace("84HP", "10HP")})
    run = rackspec(tmp_path, "order", "--parts", *DAY)
    assert run.code == 0
    assert "Settle this before you order: " in run.out


@pytest.mark.parametrize("name", ["granary", "harmonium-shelf", "sail-loft", "towpath"])
def test_the_demo_is_as_the_schema_says(name: str) -> None:
    """Every rack of the demo, with all of its sellers; the schema is the one that ``export`` prints."""
    run = rackspec(ROOT, "order", "--parts", "specs", "--rack", name, "--write", "json=-", *DAY)
    assert run.code == 0, run.err
    schema = json.loads(rackspec(ROOT, "export", "--schema", "order").out)
    assert schema == json.loads(schema_text("order"))
    document = json.loads(run.out)
    assert [error.message for error in Draft202012Validator(schema).iter_errors(document)] == []
    assert [rack["name"] for rack in document["racks"]] == [name]
    assert document["racks"][0]["parts"]


@pytest.mark.parametrize("spoil", ["stages", "to_buy", "colour"])
def test_a_spoilt_document_is_not(spoil: str) -> None:
    """The schema does look."""
    run = rackspec(ROOT, "order", "--parts", "specs", "--rack", "towpath", "--write", "json=-", *DAY)
    document = json.loads(run.out)
    part = document["racks"][0]["parts"][0]
    part.update(colour="red") if spoil == "colour" else part.pop(spoil)
    assert not Draft202012Validator(json.loads(schema_text("order"))).is_valid(document)


def order(name: str, kind: str, *more: str) -> str:
    """A document of the order of a rack of the demo."""
    run = rackspec(ROOT, "order", "specs", "--rack", name, "--write", f"{kind}=-", *DAY, *more)
    assert run.code == 0, run.err
    return run.out


@pytest.mark.parametrize("name", ["granary", "harmonium-shelf", "sail-loft", "towpath"])
def test_an_order_says_the_same_in_all_documents(name: str) -> None:
    """The document is as its schema says; the table adds up to it, seller by seller, in the seller's own money."""
    document = json.loads(order(name, "json"))
    validator = Draft202012Validator(json.loads(schema_text("order")))
    assert [error.message for error in validator.iter_errors(document)] == []
    assert document["kind"] == "orders"
    (rack,) = document["racks"]
    said = {
        (stage["stage"] or "start", seller["seller"]): Fraction(seller["together"]["amount"])
        for stage in rack["orders"]["stages"]
        for seller in stage["sellers"]
    }
    assert said
    added: dict[tuple[str, str], Fraction] = {}
    for row in csv.DictReader(io.StringIO(order(name, "csv"), newline="")):
        if row["seller"]:
            key = (row["stage"], row["seller"])
            added[key] = added.get(key, Fraction(0)) + Fraction(row["together"] or 0)
    assert added == said


def test_parts_of_an_order_are_those_of_its_rails(tmp_path: Path) -> None:
    """The first rails do and cost 20 EUR, the others 10: the order, and the parts beside it, are of the others."""
    spec = """\
insert nut {
    nut M3
    thread 3mm
    enters front
}
rail dear {
    length 40HP
    takes nut
    recess 1mm
    room 20mm
}
rail cheap like dear {
}
module osc {
    width 8HP
    thickness 2mm
    draws nothing
    screws 4 of M3x8
}
seller shop {
    ships 3 EUR
    sells dear at 10 EUR
    sells cheap at 5 EUR
    sells nut at 0.10 EUR
    sells osc at 90 EUR
}
rack tray {
    row top {
        rails dear with nut
        or cheap with nut
        at 0HP osc
    }
}
"""
    write(tmp_path, {"a.rackspec": spec})
    things = {}
    for more in ((), ("--parts",)):
        run = rackspec(tmp_path, "order", "--write", "json=-", *more, *DAY)
        assert run.code == 0, run.err
        (rack,) = json.loads(run.out)["racks"]
        things[more] = {part["thing"] for part in rack["parts"]} & {"dear", "cheap"}
    assert things == {(): {"cheap"}, ("--parts",): {"dear"}}
    assert "Row top is counted on dear with nut, the first that does of its 2 choices" in run.err


def test_a_seller_that_is_left_out_sells_no_screws(tmp_path: Path) -> None:
    """M3x5 would be the shortest; only M3x8 and M3x10 are sold, M3x8 by a seller who is not asked."""
    spec = """\
insert nut {
    nut M3
    thread 2mm
    enters front
}
rail bar {
    length 40HP
    takes nut
    recess 1mm
    room 20mm
}
seller near {
    ships 1 EUR
    sells M3x8 at 1 EUR pack 20
}
seller far {
    ships 1 EUR
    sells M3x10 at 1 EUR pack 20
}
rack tray {
    row top {
        rails bar with nut
        at 0HP blank 8HP
    }
}
"""
    write(tmp_path, {"a.rackspec": spec})
    found = {}
    for left_out in ((), ("near",), ("far",), ("near", "far")):
        more = [word for name in left_out for word in ("--without", name)]
        for parts in ([], ["--parts"]):
            run = rackspec(tmp_path, "order", "--write", "json=-", *more, *parts, *DAY)
            (rack,) = json.loads(run.out)["racks"]
            (screw,) = [part["thing"] for part in rack["parts"] if "panel screw" in part["kinds"]]
            found[left_out, *parts] = screw
    for parts in ((), ("--parts",)):
        assert [found[key] for key in found if key[1:] == parts] == ["M3x8", "M3x10", "M3x8", "M3x5"]


@pytest.mark.parametrize("more", [("--stage", "thaw"), ("--parcels", "1"), ("--without", "oddments")])
def test_orders_are_asked_for_otherwise(more: tuple[str, ...]) -> None:
    """Each option reaches the answer."""
    (rack,) = json.loads(order("towpath", "json", *more))["racks"]
    stages = [stage["stage"] for stage in rack["orders"]["stages"]]
    assert stages == (["thaw"] if more[0] == "--stage" else [None, "thaw", "hay"])
    for stage in rack["orders"]["stages"]:
        if more[0] == "--parcels":
            assert sum(not seller["fetched"] for seller in stage["sellers"]) <= 1
        assert more[0] != "--without" or "oddments" not in [seller["seller"] for seller in stage["sellers"]]
