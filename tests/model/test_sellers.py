"""Sellers, parts and money go in, as texts of specs; the records of the model, and what is found, must be as said."""

from __future__ import annotations

from fractions import Fraction

import pytest

from rackspec.files import from_bytes
from rackspec.findings import Finding, in_order
from rackspec.model.rack import Rack
from rackspec.model.sellers import Seller
from rackspec.model.wares import opened
from rackspec.project import Project
from tests.comparison.texts import TOP, Texts

PARTS = """\
insert m3-nut {
    nut M3
}
rail lipped {
    length 84HP
    takes m3-nut
}
"""
RACK = "rack tray {\n    stage later\n@    row top {\n        length 84HP\n    }\n}\n"


def linked(**texts: str) -> tuple[list[Rack], list[Finding]]:
    """The racks of the file ``spec``, which may use others beside it, and what was found."""
    project = Project("/nowhere", "/nowhere")
    for name, text in texts.items():
        project.add_named(f"/nowhere/{name}.rackspec", from_bytes(f"{name}.rackspec", text.encode()))
    project.close()
    return project.link(), in_order(project.findings())


def tray(*lines: str, before: str = "") -> tuple[Rack, list[Finding]]:
    """A rack with lines of its own, and what was found."""
    inside = "".join(f"    {line}\n" for line in lines)
    racks, found = linked(spec=PARTS + before + RACK.replace("@", inside))
    return racks[0], found


def seller(*lines: str, more: str = "", name: str = "corner") -> Seller:
    """A seller that is understood."""
    rack, found = tray(before="seller corner {\n" + "".join(f"    {line}\n" for line in lines) + "}\n" + more)
    assert [finding.message for finding in found] == []
    return next(seller for seller in rack.sellers if seller.name == name)


def messages(found: list[Finding]) -> list[tuple[str, str]]:
    """Rule and message of each finding."""
    return [(finding.rule, finding.message) for finding in found]


# --- what a seller is


def test_steps_stand_in_their_order() -> None:
    """However they are written: the lowest first; the step without 'from' begins at nothing."""
    found = seller(
        "ships 0 EUR from 100 EUR",
        "ships 3 EUR from 50 EUR",
        "ships 5 EUR",
        "longer 1m adds 6 EUR",
        "longer 500mm adds 2 EUR",
        "heavier 5kg adds 9 EUR",
        "heavier 31.5kg adds 20 EUR",
        "heavier 2kg adds 4 EUR",
    )
    assert [(step.start, step.price.money.value) for step in found.ships] == [(0, 5), (50, 3), (100, 0)]
    assert [(step.start, step.price.money.value) for step in found.longer] == [(500, 2), (1000, 6)]
    assert [step.start for step in found.heavier] == [2000, 5000, 31_500]
    assert (found.fetched, found.free, found.smallest, found.days) == (False, None, None, None)


def test_a_step_that_was_measured_beats_one_that_was_stated() -> None:
    """What the till said counts; one step, not two."""
    found = seller("ships 5 EUR stated", "ships 6 EUR measured", "ships 3 EUR from 50 EUR")
    assert [(step.start, step.price.money.value) for step in found.ships] == [(0, 6), (50, 3)]


def test_fetched_is_not_the_same_as_unsaid() -> None:
    """'ships nothing' is fetched there; no line is not known; 0 EUR is a parcel that costs nothing."""
    fetched, unsaid, free = seller("ships nothing"), seller("days 2"), seller("ships 0 EUR")
    assert (fetched.fetched, fetched.ships) == (True, ())
    assert (unsaid.fetched, unsaid.ships) == (False, ())
    assert (free.fetched, [step.price.money.value for step in free.ships]) == (False, [0])


def test_days_and_sums() -> None:
    """'days 3' is three at least and at most."""
    found = seller("free from 60 EUR", "least 12.50 EUR", "days 3")
    assert found.free is not None
    assert found.smallest is not None
    assert found.days is not None
    assert (found.free.money.value, found.smallest.money.value) == (60, Fraction(25, 2))
    assert (found.days.least, found.days.most) == (3, 3)
    days = seller("days 2 to 5").days
    assert days is not None
    assert (days.least, days.most) == (2, 5)


def test_units_of_offers() -> None:
    """Each, a pair, a pack; from how many units on; how many there are."""
    found = seller(
        "sells lipped at 12 EUR",
        "sells lipped at 11 EUR each from 4 stock 9",
        "sells lipped at 22 EUR pair",
        "sells M3x8 at 4.20 EUR pack 100",
        "sells M4 washer at 0.05 EUR",
        "sells M4 nut at 0.06 EUR stock 0",
        "sells blank 2.5HP at 3 EUR",
    )
    assert [(offer.part, offer.form, offer.pieces, offer.least, offer.stock) for offer in found.offers] == [
        ("lipped", "each", 1, 1, None),
        ("lipped", "each", 1, 4, 9),
        ("lipped", "pair", 2, 1, None),
        ("M3x8", "pack", 100, 1, None),
        ("M4 washer", "each", 1, 1, None),
        ("M4 nut", "each", 1, 1, 0),
        ("blank 2.5HP", "each", 1, 1, None),
    ]
    assert found.currency == "EUR"


def test_the_basis_dates_every_price_that_does_not_say_more() -> None:
    """A price that names its own evidence keeps that, day or none."""
    found = seller(
        'basis stated "price list" 2026-10-02',
        "ships 5 EUR",
        "sells lipped at 12 EUR",
        'sells M3x8 at 4 EUR pack 100 measured "till" 2026-11-03',
        "sells M4 washer at 0.05 EUR guessed",
    )
    told = [(offer.price.evidence.level, str(offer.price.evidence.dated)) for offer in found.offers]
    assert told == [("stated", "2026-10-02"), ("measured", "2026-11-03"), ("guessed", "None")]
    assert str(found.ships[0].price.evidence.dated) == "2026-10-02"


def test_a_seller_that_is_like_another() -> None:
    """Its list of offers is its own as a whole, and so are its steps of shipping; the rest it has from there."""
    like = "seller branch like corner {\n    sells M3x8 at 5 EUR pack 100\n    longer 1m adds 1 EUR\n}\n"
    found = seller(
        "ships 5 EUR",
        "ships 3 EUR from 50 EUR",
        "free from 90 EUR",
        "longer 1m adds 6 EUR",
        "longer 2m adds 9 EUR",
        "sells lipped at 12 EUR",
        more=like,
        name="branch",
    )
    assert [offer.part for offer in found.offers] == ["M3x8"]
    assert [step.price.money.value for step in found.ships] == [5, 3]
    assert [(step.start, step.price.money.value) for step in found.longer] == [(1000, 1), (2000, 9)]
    assert found.free is not None


# --- what is found


def test_an_offer_twice_is_told_once() -> None:
    """The same units of the same thing; another pack, another number or a pair are other offers."""
    text = (
        "seller corner {\n    sells lipped at 12 EUR\n    sells lipped at 11 EUR\n    sells lipped at 10 EUR from 2\n"
    )
    text += "    sells lipped at 20 EUR pair\n    sells M3x8 at 4 EUR pack 100\n    sells M3x8 at 1 EUR pack 20\n}\n"
    _, found = tray(before=text)
    assert messages(found) == [
        ("said-twice", "'corner' sells 'lipped' twice for the same number: at 12 EUR and 11 EUR")
    ]
    assert found[0].others[0].label == "the first time"


def test_a_pair_is_a_pack_of_two() -> None:
    """Two ways to write the same unit are the same offer."""
    text = "seller corner {\n    sells lipped at 20 EUR pair\n    sells lipped at 21 EUR pack 2\n}\n"
    assert [rule for rule, _ in messages(tray(before=text)[1])] == ["said-twice"]


SELLING = "seller corner {\n    sells liped at 12 EUR\n    sells liped at 11 EUR from 5\n    sells M3x8 at 4 EUR\n}\n"


def test_a_name_that_nobody_knows_is_told_once() -> None:
    """With the name that was meant; a line of it is no offer of something else."""
    _, found = tray(before=SELLING)
    assert messages(found) == [("unknown-name", "no part is called 'liped'")]
    assert found[0].remedy.startswith("write 'lipped'")


def test_what_a_used_seller_sells_is_looked_up_with_its_own_file() -> None:
    """A shop sells many things that this library has no entry for: told where the seller's own file is inspected."""
    (rack,), found = linked(spec=PARTS + SELLING + RACK.replace("@", ""))
    assert [finding.rule for finding in found] == ["unknown-name"]
    project = Project(TOP, TOP, store=Texts({"shop.rackspec": SELLING}))
    spec = 'use "shop.rackspec"\n' + PARTS + RACK.replace("@", "")
    project.add_named(f"{TOP}/spec.rackspec", from_bytes("spec.rackspec", spec.encode()))
    project.close()
    (rack,) = project.link()
    assert messages(project.findings()) == []
    assert [offer.part for offer in rack.sellers[0].offers] == ["liped", "liped", "M3x8"]


def test_sellers_that_a_file_does_not_use_are_not_its_own() -> None:
    """Both files are named; only the one that uses it may buy there."""
    shop = "seller corner {\n    ships 5 EUR\n}\n"
    racks, _ = linked(spec=RACK.replace("@", ""), shop=shop)
    assert racks[0].sellers == ()


@pytest.mark.parametrize(
    ("before", "rule", "message"),
    [
        ("part jar {\n    holds 0 of M3x8\n}\n", "value-impossible", "0 of a thing is nothing that 'holds' could say"),
        ("part jar {\n    holds 2 of jar\n}\n", "value-impossible", "'jar' holds itself"),
        (
            "part jar {\n    holds 2 of bag\n}\npart bag {\n    holds 1 of jar\n}\n",
            "value-impossible",
            "'jar' holds 'bag', which in the end holds 'jar'",
        ),
        ("part jar {\n    holds 2 of liped\n}\n", "unknown-name", "no part is called 'liped'"),
        ("seller corner {\n    longer 0mm adds 6 EUR\n}\n", "value-impossible", "every parcel is longer than 0mm"),
        ("seller corner {\n    heavier 0g adds 6 EUR\n}\n", "value-impossible", "every parcel is heavier than 0g"),
        (
            "seller corner {\n    days 5 to 3\n}\n",
            "value-impossible",
            "a parcel of 'corner' cannot take 5 days at least and 3 at most",
        ),
        (
            "seller corner {\n    sells M3x8 at 4 EUR pack 0\n}\n",
            "value-impossible",
            "a pack of 0 pieces holds nothing",
        ),
        (
            "seller corner {\n    sells M3x8 at 4 EUR from 0\n}\n",
            "value-impossible",
            "a price from 0 on is one for nothing",
        ),
        (
            "seller corner {\n    ships 4 EUR from 20 EUR\n    ships 5 EUR from 20 EUR\n}\n",
            "said-twice",
            "'ships' for 20 EUR is said twice in this block, and differently",
        ),
    ],
)
def test_what_cannot_be(before: str, rule: str, message: str) -> None:
    """One finding at least says so, with a remedy."""
    _, found = tray(before=before)
    assert (rule, message) in messages(found)
    assert all(finding.remedy for finding in found)
    assert len(found) <= 2  # two kits that hold each other are two lines to mend


def test_kits_in_kits_are_opened_once() -> None:
    """A rack that names a kit knows what is in it, and what is in that."""
    kits = "part jar {\n    holds 2 of bag\n}\npart bag {\n    holds 3 of lipped\n}\n"
    rack, found = tray("have 1 of jar", before=kits)
    assert found == []
    assert [ware.name for ware in rack.wares] == ["bag", "jar", "lipped"]


def test_stages_and_sellers_in_lines_of_money() -> None:
    """A stage that nobody knows, and a seller that nobody knows, are told; what is known is kept."""
    rack, found = tray(
        "also 2 of lipped in nowhere",
        "also 1 of lipped in later",
        "spent 30 EUR",
        "gift 50 EUR in later",
        "anyway 20 EUR from corner",
        "anyway 10 EUR from nobody",
        before="seller corner {\n    ships 5 EUR\n}\n",
    )
    assert messages(found) == [
        ("unknown-name", "no stage of this rack is called 'nowhere'"),
        ("unknown-name", "no seller is called 'nobody'"),
    ]
    assert [(also.part, also.pieces, also.stage) for also in rack.also] == [("lipped", 2, 0), ("lipped", 1, 1)]
    assert [(purse.money.money.text, purse.stage) for purse in (*rack.spent, *rack.gifts)] == [
        ("30 EUR", 0),
        ("50 EUR", 1),
    ]
    assert [(purse.seller, purse.money.money.value) for purse in rack.anyway] == [("corner", 20), ("nobody", 10)]


def test_many_kits_in_many_kits_take_no_time() -> None:
    """Nine levels of thirty kits that each hold all thirty below: opened level by level, not way by way."""
    levels, wide = 9, 30
    below = ["M3x8"]
    text = ""
    for level in range(levels):
        names = [f"kit-{level}-{number}" for number in range(wide)]
        held = "".join(f"    holds 1 of {name}\n" for name in below)
        text += "".join(f"part {name} {{\n{held}}}\n" for name in names)
        below = names
    rack, found = tray("have 1 of kit-7-0", before=text)
    assert found == []
    inside = opened({ware.name: ware for ware in rack.wares}, {"kit-7-0": 2})
    assert inside["M3x8"] == 2 * wide**7
    assert inside["kit-0-0"] == 2 * wide**6
    deepest = opened({ware.name: ware for ware in rack.wares}, {"kit-7-0": 1}, {"kit-3-0"})
    assert deepest["M3x8"] == wide**7 - wide**6


def test_nothing_and_a_price_for_parcels_are_one_too_many() -> None:
    """Neither of the two wins in silence."""
    (found,) = messages(tray(before="seller corner {\n    ships nothing\n    ships 5 EUR\n}\n")[1])
    assert found == ("said-twice", "'corner' is said to ship nothing, and what its parcels cost")
