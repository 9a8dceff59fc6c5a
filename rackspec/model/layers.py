"""Facts seen through their layers: in: blocks, nearest first, out: for each word what holds.

``like`` puts a part's lines in front of the part it is a revision of, ``about`` puts a specimen's lines in front of its
part's. The nearest layer that says a word decides; within one layer measured beats stated beats guessed. Lines with a
key (one a voltage) are decided key by key, lists as a whole.
"""

from collections.abc import Hashable
from typing import NamedTuple

from rackspec.findings import Place
from rackspec.language.bound import STATED, Block, Evidence, Fact
from rackspec.language.quantity import Money, Quantity
from rackspec.model.known import TRUST, Known, KnownMoney, evidence_of, known


def basis_of(block: Block) -> Evidence:
    """The evidence that holds for a block's facts: its strongest ``basis``, else stated (its writer states it)."""
    found = [fact.bound.evidence for fact in block.all("basis") if fact.bound.evidence is not None]
    return min(found, key=lambda evidence: TRUST[evidence.level]) if found else Evidence(STATED)


class Layers(NamedTuple):
    """The blocks that speak of one thing, nearest first; ``own`` is which of them names it."""

    blocks: tuple[Block, ...]
    own: int = 0

    @property
    def spoiled(self) -> bool:
        """Whether some line of them was not understood."""
        return any(block.spoiled for block in self.blocks)

    def over(self, nearer: Block) -> "Layers":
        """The same thing with a nearer layer."""
        return Layers((nearer, *self.blocks), self.own + 1)

    def one(self, word: str) -> tuple[Fact, Evidence] | None:
        """The fact that decides a word, with its evidence."""
        for block in self.blocks:
            facts = block.all(word)
            if facts:
                basis = basis_of(block)
                return min(((fact, evidence_of(fact, basis)) for fact in facts), key=lambda pair: TRUST[pair[1].level])
        return None

    def keyed(self, word: str, key: str) -> list[tuple[Fact, Evidence]] | None:
        """The facts of a word that has a key, one a value of the key; None where no layer says the word.

        A fact without the key (``draws nothing``) speaks for the whole word: what lies behind it does not count.
        """
        decided: dict[Hashable, tuple[Fact, Evidence]] = {}
        said = False
        for block in self.blocks:
            facts = block.all(word)
            if not facts:
                continue
            basis = basis_of(block)
            here: dict[Hashable, tuple[Fact, Evidence]] = {}
            whole = False
            for fact in facts:
                value = fact.bound.values.get(key)
                if value is None:
                    whole = True
                    continue
                at: Hashable = value.data.value if isinstance(value.data, Quantity) else value.text
                pair = (fact, evidence_of(fact, basis))
                if at not in here or TRUST[pair[1].level] < TRUST[here[at][1].level]:
                    here[at] = pair
            said = True
            decided = {**here, **decided}
            if whole:
                break
        return list(decided.values()) if said else None

    def many(self, word: str) -> list[tuple[Fact, Evidence]]:
        """The facts of a list, from the nearest layer that has any."""
        for block in self.blocks:
            facts = block.all(word)
            if facts:
                basis = basis_of(block)
                return [(fact, evidence_of(fact, basis)) for fact in facts]
        return []

    def quantity(self, word: str, key: str = "") -> Known | None:
        """The quantity that a word gives (under its own key, or another of its line)."""
        found = self.one(word)
        return known(found[0], key or word, found[1]) if found else None

    def money(self, word: str) -> KnownMoney | None:
        """The sum of money that a word gives."""
        found = self.one(word)
        if found is None:
            return None
        value = found[0].bound.values.get(word)
        if value is None or not isinstance(value.data, Money):
            return None
        return KnownMoney(value.data, found[1], found[0].place(word))

    def place(self) -> Place:
        """Where the thing is named."""
        return self.blocks[self.own].place()
