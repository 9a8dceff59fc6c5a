"""Braces to blocks: in: the lines of a text in order, out: nodes with their blocks, and what does not match.

As long as as many blocks are closed as opened, braces alone count. Otherwise one is missing or too many, and the
indentation tells which: a ``}`` stands under the line it belongs to, and what is inside stands further right.
"""

from __future__ import annotations

from rackspec.findings import ERROR, Finding, Place, Source
from rackspec.language.tree import CLOSES, FACT, OPENS, Node, Shape

DEEPEST = 12
"""Blocks inside blocks. The language has three levels; deeper ones are a slip or an attack."""

Line = tuple[Shape, int, str]


def _finding(source: Source, line: Line, message: str, remedy: str, at_end: bool) -> Finding:
    """A finding about a brace, at the last or at the first character of a line."""
    shape, offset, text = line
    end = offset + len(text.split("#", 1)[0].rstrip()) if '"' not in text else offset + len(text.rstrip())
    start = max(offset + shape.indent, end - 1) if at_end else offset + shape.indent
    return Finding("brace-astray", ERROR, message, Place(source, start, max(end, start + 1)), remedy=remedy)


def header(line: Line) -> str:
    """How a block is called in a message: its first two words."""
    return " ".join(value.text for value in line[0].values[:2]) or line[2].strip()[:30]


class _Open:
    """A block that is not closed yet. ``lost``: the line that opens it is missing, so nobody knows what it is."""

    __slots__ = ("line", "lost", "nodes")

    def __init__(self, line: Line, lost: bool = False) -> None:
        self.line = line
        self.lost = lost
        self.nodes: list[Node] = []


class _Nest:
    """The blocks that are open, from the file inwards."""

    def __init__(self, source: Source) -> None:
        self.source = source
        self.top: list[Node] = []
        self.open: list[_Open] = []
        self.findings: list[Finding] = []

    def add(self, node: Node) -> None:
        (self.open[-1].nodes if self.open else self.top).append(node)

    def further_in(self, shape: Shape) -> int:
        """How far the lines beside a line are indented, if it stands further in than they do; otherwise -1."""
        beside = (self.open[-1].nodes if self.open else self.top)[:1]
        expected = beside[0].shape.indent if beside else 0 if not self.open else shape.indent
        return expected if shape.indent > expected else -1

    def close(self) -> None:
        block = self.open.pop()
        shape, offset, _ = block.line
        if block.lost:
            return
        self.add(Node(shape, offset, tuple(block.nodes)))

    def above(self, line: Line) -> Line | None:
        """The line above, taken back, if it is the header that a ``{`` on a line of its own belongs to."""
        nodes = self.open[-1].nodes if self.open else self.top
        if not nodes or nodes[-1].inside is not None or nodes[-1].shape.indent != line[0].indent:
            return None
        node = nodes[-1]
        if node.shape.broken or self.source.text[node.offset + len(node.text) : line[1]].strip("\r\n"):
            return None
        nodes.pop()
        return node.shape, node.offset, node.text

    def say(self, line: Line, message: str, remedy: str, at_end: bool = False) -> None:
        self.findings.append(_finding(self.source, line, message, remedy, at_end))

    def not_closed(self, where: Line | None) -> None:
        """The innermost block lacks its brace; ``where`` is the line in front of which it is missed."""
        block = self.open[-1]
        message = f"the block '{header(block.line)}' is opened here and never closed"
        remedy = "put a '}' on a line of its own behind its last line"
        found = _finding(self.source, block.line, message, remedy, True)
        if where is not None:
            shape, offset, text = where
            missed = Place(
                self.source, offset + shape.indent, offset + len(text.rstrip()), "a '}' is missed before this"
            )
            found = found._replace(others=(missed,))
        self.findings.append(found)
        self.close()


def nest(source: Source, lines: list[Line]) -> tuple[tuple[Node, ...], list[Finding]]:
    """Nodes of all lines. Never raises, however the braces stand."""
    does = [shape.does for shape, _, _ in lines]
    excess = does.count(OPENS) - does.count(CLOSES)
    guided = any(shape.indent for shape, _, _ in lines)
    state = _Nest(source)
    too_deep = 0
    for number, line in enumerate(lines):
        shape, offset, text = line
        if excess == 0 and shape.does == FACT:  # as nearly all lines are
            state.add(Node(shape, offset))
            continue
        following = lines[number + 1][0] if number + 1 < len(lines) else None
        if excess > 0 and state.open and shape.does == FACT:
            closed = _closed_by_slip(state, line, guided, excess)
            if closed:
                excess -= closed
                continue
        while guided and excess > 0 and _stands_outside(state, shape):
            state.not_closed(line)
            excess -= 1
        expected = state.further_in(shape) if guided and excess < 0 and shape.does != CLOSES else -1
        if expected >= 0 and not shape.broken:
            message = "the line that opens this block is missing"
            state.say(line, message, "write it above this line, such as: module osc-a {")
            state.open.append(_Open((shape._replace(indent=expected), offset, text), lost=True))
            excess += 1
        if shape.does == CLOSES:
            if too_deep:
                too_deep -= 1
            elif not state.open or (guided and excess < 0 and shape.indent > state.open[-1].line[0].indent):
                state.say(line, "this '}' closes nothing", "delete it, or open the block it belongs to with '{'")
                excess += 1
            else:
                state.close()
        elif shape.does == OPENS:
            above = state.above(line) if shape.broken and text.strip() == "{" else None
            if above is not None:
                state.open.append(_Open(above))
            elif len(state.open) >= DEEPEST:
                if not too_deep:
                    state.say(line, f"blocks are nested more than {DEEPEST} deep here", "close the blocks above first")
                too_deep += 1
            elif guided and excess == 1 and following and lines[number + 1][2] == text and shape.values:
                state.say(line, f"'{header(line)}' is opened twice", "delete one of the two lines")
                excess -= 1
            elif guided and excess > 0 and state.open and following and _is_empty_block(shape, following):
                if not shape.slips:
                    state.say(
                        line,
                        "this '{' opens a block with nothing in it",
                        "delete it, or close the block with '}'",
                        True,
                    )
                state.add(Node(shape, offset))
                excess -= 1
            else:
                state.open.append(_Open(line))
        elif (
            guided
            and excess < 0
            and following
            and following.indent > shape.indent
            and _adjacent(line, lines[number + 1])
        ):
            if not shape.broken:  # what is wrong with a broken line is told already, and may well have hidden its brace
                message = f"'{header(line)}' is followed by a block, but none is opened"
                state.say(line, message, "end this line with '{'", True)
            state.open.append(_Open(line))
            excess += 1
        else:
            state.add(Node(shape, offset))
    if len(state.open) > 3:
        state.not_closed(None)  # one finding: hundreds of open blocks have one cause
        while state.open:
            state.close()
    while state.open:
        state.not_closed(None)
    return tuple(state.top), state.findings


def _stands_outside(state: _Nest, shape: Shape) -> bool:
    """Whether a line stands outside of the innermost open block by its indentation."""
    if not state.open:
        return False
    block = state.open[-1]
    if not block.nodes or block.nodes[0].shape.indent <= block.line[0].indent:
        return False
    own = block.line[0].indent
    return shape.indent < own if shape.does == CLOSES else shape.indent <= own


def _closed_by_slip(state: _Nest, line: Line, guided: bool, excess: int) -> int:
    """How many blocks a line closes that is no ``}`` and was meant as one: a brace is missing, and here is where."""
    shape, offset, text = line
    own = state.open[-1].line[0].indent
    if shape.broken:
        braces = text.split("#", 1)[0].rstrip().count("}") if text.split("#", 1)[0].rstrip().endswith("}") else 0
        if not braces and not (guided and shape.indent == own and _stands_outside(state, shape)):
            return 0
        state.add(Node(shape, offset))
        closed = min(max(braces, 1), len(state.open), excess)
        for _ in range(closed):
            state.close()
        return closed
    if guided and len(shape.values) == 1 and shape.indent == own and _stands_outside(state, shape):
        word = shape.values[0].text
        message = f"'{word}' stands where the '}}' of '{header(state.open[-1].line)}' is due"
        state.say(line, message, "write '}' in its place")
        state.close()
        return 1
    return 0


def _adjacent(line: Line, following: Line) -> bool:
    """Whether no empty line lies between two lines."""
    return following[1] - line[1] - len(line[2]) <= len("\r\n")


def _is_empty_block(shape: Shape, following: Shape) -> bool:
    """Whether what follows an opening line cannot be inside it."""
    return following.indent < shape.indent or (following.indent == shape.indent and following.does != CLOSES)
