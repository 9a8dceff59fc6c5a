"""Free intervals that grow from stage to stage and the widths due at each stage come in; blocks in place go out.

Each thing stands inside what is free at its own stage and stays for ever; the answer is exact, or "undecided".
"""

from collections.abc import Iterator, Sequence
from itertools import pairwise
from typing import NamedTuple

from rackspec.physics.run_filling import FITS, IMPOSSIBLE, LONGEST_SEARCHED, UNDECIDED, fill_runs
from rackspec.physics.run_refilling import add_things

Interval = tuple[int, int]

# How long one look ahead may take; it only saves work, so it may stay undecided.
_STEPS_LOOKING_AHEAD = 200


class Block(NamedTuple):
    """Things of one stage that stand side by side from `start` (HP); `stage` is the index of their stage."""

    start: int
    stage: int
    widths: tuple[int, ...]

    @property
    def end(self) -> int:
        """First whole HP behind the block."""
        return self.start + sum(self.widths)


class StagedFilling(NamedTuple):
    """Verdict, the blocks in place (empty unless "fits"), steps of work spent."""

    verdict: str
    blocks: tuple[Block, ...]
    steps: int


class _Node(NamedTuple):
    """A state of the search: first all things of a stage get their piece, then the loaded pieces their offset."""

    stage: int
    pieces: tuple[Interval, ...]
    blocks: tuple[Block, ...]  # earlier stages, and this one's as far as they have an offset
    loads: tuple[tuple[int, ...], ...]  # widths of this stage in each piece
    loaded: int  # how many things of this stage have a piece
    settled: int  # how many pieces have their offset
    last_piece: int  # equal things go into pieces in rising order

    def key(self) -> tuple[object, ...]:
        """What decides whether the search can succeed from here."""
        loads = tuple(sum(load) for load in self.loads)
        return self.stage, self.pieces, tuple((b.start, b.end) for b in self.blocks), loads, self.loaded, self.settled


def fill_stages(
    stages: Sequence[Sequence[Interval]], widths: Sequence[Sequence[int]], most_steps: int
) -> StagedFilling:
    """Stand `widths[s]` (HP, at least 1) into `stages[s]`, or prove that it cannot be.

    `stages[s]` are the free intervals [start, end) of stage s, sorted, apart from each other, each inside one of the
    next stage.  Why the search is exact, all by exchange: things of one stage in one piece of free length may stand
    side by side (slide them together: the gap joins the next one); at an end that never grows the block may stand
    against that end (whatever stood there moves to its other side); and where both ends grow, it may be pushed to
    the left until it meets the piece's start or a chain of later things, so only such offsets are tried.
    """
    search = _Search(stages, widths, most_steps)
    return search.answer()


class _Search:
    def __init__(self, stages: Sequence[Sequence[Interval]], widths: Sequence[Sequence[int]], most_steps: int) -> None:
        self.stages = [tuple(stage) for stage in stages]
        self.widths = [tuple(sorted(due, reverse=True)) for due in widths]
        self.most_steps = most_steps
        self.steps = 0
        self.left_open = False  # some part of the search was given up
        self.failed: set[tuple[object, ...]] = set()
        self.later_sums = self._sums_of_later_things()

    def _sums_of_later_things(self) -> list[int]:
        longest = max((end - start for start, end in self.stages[-1]), default=0)
        sums = [1] * len(self.stages)
        if longest <= LONGEST_SEARCHED:
            mask = (1 << (longest + 1)) - 1
            for stage in range(len(self.stages) - 2, -1, -1):
                sums[stage] = sums[stage + 1]
                for width in self.widths[stage + 1]:
                    sums[stage] = add_things(sums[stage], width, 1, mask)
        return sums

    def answer(self) -> StagedFilling:
        for stage in range(len(self.stages) if len(self.stages) > 1 else 0):
            # Alone, without asking who stands where before: if this cannot be, nothing can.
            due = [width for early in self.widths[: stage + 1] for width in early]
            lengths = [end - start for start, end in self.stages[stage]]
            verdict = self._fill(lengths, due, self.most_steps // (4 * len(self.stages)))[0]
            if verdict == IMPOSSIBLE:
                return StagedFilling(IMPOSSIBLE, (), self.steps)
        if max((end - start for start, end in self.stages[-1]), default=0) > LONGEST_SEARCHED and len(self.stages) > 1:
            return StagedFilling(UNDECIDED, (), self.steps)
        root = self._at_stage(0, ())
        stack = [(root, self._children(root))]
        while stack:
            if self.steps >= self.most_steps and self.left_open:
                return StagedFilling(UNDECIDED, (), self.steps)
            node, children = stack[-1]
            child = next(children, None)
            if child is None:
                self.failed.add((*node.key(), node.last_piece))
                stack.pop()
            elif child.stage == len(self.stages):
                return StagedFilling(FITS, child.blocks, self.steps)
            elif (*child.key(), child.last_piece) not in self.failed:
                if self.steps >= self.most_steps:
                    return StagedFilling(UNDECIDED, (), self.steps)
                self.steps += 1
                stack.append((child, self._children(child)))
        return StagedFilling(UNDECIDED if self.left_open else IMPOSSIBLE, (), self.steps)

    def _fill(
        self, lengths: Sequence[int], due: Sequence[int], most_steps: int
    ) -> tuple[str, tuple[tuple[int, tuple[int, ...]], ...]]:
        verdict, loads, steps = fill_runs(lengths, due, min(most_steps, max(0, self.most_steps - self.steps)))
        self.steps += steps
        return verdict, loads

    def _at_stage(self, stage: int, blocks: tuple[Block, ...]) -> _Node:
        pieces = tuple(free_pieces(self.stages[stage], blocks))
        return _Node(stage, pieces, blocks, ((),) * len(pieces), 0, 0, 0)

    def _children(self, node: _Node) -> Iterator[_Node]:
        if node.stage == len(self.stages) - 1:
            return self._finish(node)
        if node.loaded < len(self.widths[node.stage]):
            return self._load(node)
        return self._settle(node)

    def _finish(self, node: _Node) -> Iterator[_Node]:
        """The last stage: nothing grows any more, so it is plain filling of runs."""
        lengths = [end - start for start, end in node.pieces]
        remaining = max(0, self.most_steps - self.steps)
        if node.stage:
            remaining = remaining // 2
        verdict, loads = self._fill(lengths, self.widths[node.stage], remaining)
        if verdict == UNDECIDED:
            self.left_open = True
        if verdict == FITS:
            pieces = list(node.pieces)
            blocks = list(node.blocks)
            for length, load in loads:
                piece = next(piece for piece in pieces if piece[1] - piece[0] == length)
                pieces.remove(piece)
                blocks.append(Block(piece[0], node.stage, load))
            yield node._replace(stage=node.stage + 1, blocks=tuple(blocks))

    def _load(self, node: _Node) -> Iterator[_Node]:
        """Give the next (widest) thing of the stage each piece that it fits into, the tightest first."""
        due = self.widths[node.stage]
        width = due[node.loaded]
        first = node.last_piece if node.loaded and due[node.loaded - 1] == width else 0
        options: list[tuple[bool, int, int]] = []
        alike: set[tuple[int, int]] = set()
        for index in range(first, len(node.pieces)):
            start, end = node.pieces[index]
            used = sum(node.loads[index])
            if used + width > end - start:
                continue
            grows = any(self._grows(node, index))
            if not grows:
                # Pieces that never grow differ by length only.
                if (end - start, used) in alike:
                    continue
                alike.add((end - start, used))
            options.append((grows, end - start - used, index))
        for _grows, _rest, index in sorted(options):
            loads = (*node.loads[:index], (*node.loads[index], width), *node.loads[index + 1 :])
            yield node._replace(loads=loads, loaded=node.loaded + 1, last_piece=index)

    def _wall(self, node: _Node, start: int) -> int:
        """Start of the final free interval around `start`, or the end of the last block before it."""
        wall = next(left for left, right in self.stages[-1] if left <= start < right)
        return max([wall, *(block.end for block in node.blocks if block.end <= start)])

    def _grows(self, node: _Node, index: int) -> tuple[bool, bool]:
        """Whether the piece gets longer at its left and at its right end at some later stage."""
        start, end = node.pieces[index]
        right_wall = next(right for left, right in self.stages[-1] if left <= start < right)
        right_wall = min([right_wall, *(block.start for block in node.blocks if block.start >= end)])
        return self._wall(node, start) < start, right_wall > end

    def _settle(self, node: _Node) -> Iterator[_Node]:
        """Give the next loaded piece (from the left) its offsets; then go on to the next stage."""
        index = node.settled
        while index < len(node.pieces) and not node.loads[index]:
            index += 1
        if index == len(node.pieces):
            following = self._at_stage(node.stage + 1, node.blocks)
            if self._hopeful(following):
                yield following
            return
        for offset in self._offsets(node, index):
            block = Block(offset, node.stage, node.loads[index])
            yield node._replace(blocks=(*node.blocks, block), settled=index + 1)

    def _offsets(self, node: _Node, index: int) -> list[int]:
        start, end = node.pieces[index]
        latest = end - sum(node.loads[index])
        grows_left, grows_right = self._grows(node, index)
        if not grows_left:
            return [start]
        if not grows_right:
            return [latest]
        wall = self._wall(node, start)
        origins = {left for stage in self.stages[node.stage + 1 :] for left, _ in stage if wall <= left < start}
        sums = self.later_sums[node.stage]
        between = [
            offset
            for offset in range(start + 1, latest + 1)
            if any(sums >> (offset - origin) & 1 for origin in origins | {wall})
        ]
        # The two ends first: they keep the rest in one piece.
        return [start, *between[-1:], *between[:-1]]

    def _hopeful(self, node: _Node) -> bool:
        """Look ahead: could the things up to each later stage stand in what is free then, wherever they stood?"""
        due: list[int] = []
        for stage in range(node.stage, len(self.stages) - 1):
            due.extend(self.widths[stage])
            lengths = [end - start for start, end in free_pieces(self.stages[stage], node.blocks)]
            if self._fill(lengths, due, _STEPS_LOOKING_AHEAD)[0] == IMPOSSIBLE:
                return False
        return True


def free_pieces(intervals: Sequence[Interval], blocks: Sequence[Block]) -> Iterator[Interval]:
    """What is left of the `intervals` between the blocks, from left to right."""
    taken = sorted((block.start, block.end) for block in blocks)
    for start, end in intervals:
        inside = [(left, right) for left, right in taken if start <= left < end]
        for (_, left), (right, _) in pairwise([(start, start), *inside, (end, end)]):
            if left < right:
                yield left, right
