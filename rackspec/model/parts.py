"""Parts of the library: in: the layers of a part, out: frozen records of what is known about it.

A value that nobody wrote is None: unknown, never zero.
"""

from fractions import Fraction
from typing import NamedTuple

from rackspec.findings import Place
from rackspec.language.bound import Evidence
from rackspec.model.faces import Face, make_face
from rackspec.model.known import Known, KnownMoney, known
from rackspec.model.layers import Layers


class Draw(NamedTuple):
    """A current (mA) drawn from, or given on, one voltage (V)."""

    voltage: Fraction
    current: Known


class Header(NamedTuple):
    """A power header: its pins, and whether it is keyed (None: not said, to be treated as unkeyed)."""

    pins: int
    keyed: bool | None
    evidence: Evidence
    place: Place


class Screws(NamedTuple):
    """The screws that came with a part."""

    pieces: int
    designation: str
    evidence: Evidence
    place: Place


class Input(NamedTuple):
    """What feeds a supply: ``adapter`` (voltage in V, current in mA) or ``mains``."""

    kind: str
    voltage: Known | None
    current: Known | None
    place: Place


class Bought(NamedTuple):
    """What is known of anything that is bought: price, mass (g), notes."""

    price: KnownMoney | None
    mass: Known | None
    notes: tuple[str, ...]


class PanelPart(NamedTuple):
    """A module or a supply. Lengths in mm, ``draws`` None where unknown and empty where it draws nothing.

    ``gives``, ``headers`` and ``input`` belong to supplies. ``ribbon``: whether its power ribbon came ``along`` or is
    ``missing`` (empty: nobody wrote it). ``own_price``: what this very specimen costs is written. ``spoiled``: some of
    its lines were not understood, so nothing is said to be missing.
    """

    kind: str
    name: str
    title: str
    place: Place
    layers: Layers
    bought: Bought
    width: Known | None
    depth: Known | None
    plug: Known | None
    face: Face
    draws: tuple[Draw, ...] | None
    header: Header | None
    screws: Screws | None
    gives: tuple[Draw, ...]
    headers: int | None
    header_pins: int | None
    input: Input | None
    efficiency: Known | None
    spoiled: bool
    ribbon: str = ""
    own_price: bool = False


class Insert(NamedTuple):
    """A tapped strip or sliding nut: its form, its thread's designation, and lengths in mm.

    A strip has ``holes`` every ``pitch``, the first one ``first`` from the row's 0HP, and ``play`` to slide in; a nut
    is ``across`` wide. ``slack`` is its whole travel across the rail. ``tapped`` is the length of thread that a screw
    finds. ``enters`` says where a nut goes in: ``end``, ``front``, or nothing where nobody wrote it.
    """

    name: str
    title: str
    place: Place
    bought: Bought
    form: str
    thread: str
    holes: int | None
    pitch: Known | None
    first: Known | None
    play: Known | None
    tapped: Known | None
    across: Known | None
    slack: Known | None
    enters: str
    spoiled: bool


class Lip(NamedTuple):
    """The lip of a rail (mm): how far it stands in front of the seat, and how far outside of the thread line its inner
    face is, where the edge of a panel comes to lie."""

    front: Known
    outside: Known
    place: Place


class EndHole(NamedTuple):
    """The thread in a rail's end (mm): how far behind the seat, how far from the thread line towards the middle of the
    row, how deep it is tapped."""

    thread: str
    behind: Known
    inward: Known
    deep: Known | None
    evidence: Evidence
    place: Place


class Rail(NamedTuple):
    """A rail: its usable length, the names of the inserts it takes, and in mm from the seat: how far back the insert is
    (``recess``), and how far a screw may reach (``room``); its lip, and the thread in its ends."""

    name: str
    title: str
    place: Place
    bought: Bought
    length: Known | None
    takes: tuple[tuple[str, Place], ...]
    recess: Known | None
    room: Known | None
    lip: Lip | None
    end_hole: EndHole | None
    spoiled: bool


def make_bought(layers: Layers) -> Bought:
    """What is known of a thing that is bought."""
    notes = tuple(fact.text("note") for fact, _ in layers.many("note"))
    return Bought(layers.money("price"), layers.quantity("mass"), notes)


def make_draws(layers: Layers, word: str) -> tuple[Draw, ...] | None:
    """Currents by voltage, from the highest voltage down; None where nothing is said."""
    facts = layers.keyed(word, "on")
    if facts is None:
        return None
    draws = []
    for fact, evidence in facts:
        current, voltage = known(fact, word, evidence), known(fact, "on", evidence)
        if current is not None and voltage is not None:
            draws.append(Draw(voltage.value, current))
    return tuple(sorted(draws, key=lambda draw: -draw.voltage))


def pins_in(text: str) -> int | None:
    """The number of pins that ``10-pin`` says; None where the text says none."""
    digits = text.partition("-")[0]
    return int(digits[:4]) if digits.isdigit() else None


def make_header(layers: Layers) -> Header | None:
    """The power header."""
    found = layers.one("header")
    if found is None:
        return None
    fact, evidence = found
    pins = pins_in(fact.text("header"))
    if pins is None:
        return None
    keyed = True if "keyed" in fact.bound.flags else False if "unkeyed" in fact.bound.flags else None
    return Header(pins, keyed, evidence, fact.place("header"))


def count_in(layers: Layers, word: str, key: str = "") -> int | None:
    """The whole number that a word gives."""
    found = layers.one(word)
    value = found[0].bound.values.get(key or word) if found else None
    return int(value.data) if value is not None and value.kind == "number" and value.data is not None else None


def pins_of(layers: Layers) -> int | None:
    """The pins of the headers of a bus or supply."""
    found = layers.one("headers")
    return pins_in(found[0].text("of")) if found else None


def make_screws(layers: Layers) -> Screws | None:
    """The screws that came with it."""
    found = layers.one("screws")
    count = count_in(layers, "screws")
    if found is None or count is None:
        return None
    return Screws(count, found[0].text("of"), found[1], found[0].place("of"))


def make_input(layers: Layers) -> Input | None:
    """What feeds a supply."""
    found = layers.one("input")
    if found is None:
        return None
    fact, evidence = found
    if "mains" in fact.bound.flags:
        return Input("mains", None, None, fact.place(""))
    return Input("adapter", known(fact, "adapter", evidence), known(fact, "current", evidence), fact.place("adapter"))


def make_panel_part(kind: str, name: str, title: str, layers: Layers) -> PanelPart:
    """A module or a supply out of its layers."""
    return PanelPart(
        kind=kind,
        name=name,
        title=title,
        place=layers.place(),
        layers=layers,
        bought=make_bought(layers),
        width=layers.quantity("width"),
        depth=layers.quantity("depth"),
        plug=layers.quantity("plug"),
        face=make_face(layers),
        draws=make_draws(layers, "draws"),
        header=make_header(layers),
        screws=make_screws(layers),
        gives=make_draws(layers, "gives") or (),
        headers=count_in(layers, "headers"),
        header_pins=pins_of(layers),
        input=make_input(layers),
        efficiency=layers.quantity("efficiency"),
        spoiled=layers.spoiled,
        ribbon=flag_of(layers, "ribbon"),
        own_price=layers.own > 0 and bool(layers.blocks[0].all("price")),
    )


def make_insert(name: str, title: str, layers: Layers) -> Insert:
    """A strip or nut out of its layers."""
    form = "strip" if layers.one("strip") else "nut" if layers.one("nut") else ""
    found = layers.one(form) if form else None
    return Insert(
        name=name,
        title=title,
        place=layers.place(),
        bought=make_bought(layers),
        form=form,
        thread=found[0].text(form) if found else "",
        holes=count_in(layers, "holes"),
        pitch=layers.quantity("holes", "every"),
        first=layers.quantity("first"),
        play=layers.quantity("play"),
        tapped=layers.quantity("thread"),
        across=layers.quantity("across"),
        slack=layers.quantity("slack"),
        enters=flag_of(layers, "enters"),
        spoiled=layers.spoiled,
    )


def flag_of(layers: Layers, word: str) -> str:
    """The word that is chosen behind another: ``end`` or ``front`` behind ``enters``."""
    found = layers.one(word)
    return found[0].bound.flags[0] if found is not None and found[0].bound.flags else ""


def make_lip(layers: Layers) -> Lip | None:
    """The lip of a rail."""
    found = layers.one("lip")
    if found is None:
        return None
    fact, evidence = found
    front, outside = known(fact, "front", evidence), known(fact, "outside", evidence)
    return Lip(front, outside, fact.place("front")) if front is not None and outside is not None else None


def make_end_hole(layers: Layers) -> EndHole | None:
    """The thread in the ends of a rail."""
    found = layers.one("end-hole")
    if found is None:
        return None
    fact, evidence = found
    behind, inward = known(fact, "behind", evidence), known(fact, "inward", evidence)
    if behind is None or inward is None:
        return None
    return EndHole(
        fact.text("end-hole"), behind, inward, known(fact, "deep", evidence), evidence, fact.place("end-hole")
    )


def make_rail(name: str, title: str, layers: Layers) -> Rail:
    """A rail out of its layers."""
    return Rail(
        name=name,
        title=title,
        place=layers.place(),
        bought=make_bought(layers),
        length=layers.quantity("length"),
        takes=tuple((fact.text("takes"), fact.place("takes")) for fact, _ in layers.many("takes")),
        recess=layers.quantity("recess"),
        room=layers.quantity("room"),
        lip=make_lip(layers),
        end_hole=make_end_hole(layers),
        spoiled=layers.spoiled,
    )
