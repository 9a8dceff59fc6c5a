"""Offsets go in; lines and columns come out, in code points and in units of UTF-16, held against Python's own codec."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from rackspec.findings import Place, Source
from rackspec.views.positions import LineTable, utf16_units

TEXTS = st.text(alphabet=st.sampled_from("a\n\r\té🎛架\u0301\U0010ffff\u2028"), max_size=40)


@given(TEXTS, st.data())
def test_columns_count_what_stands_before(text: str, data: st.DataObject) -> None:
    """A column is one more than what stands before it in its line."""
    offset = data.draw(st.integers(0, len(text)))
    line_start = text.rfind("\n", 0, offset) + 1
    before = text[line_start:offset]
    table, source = LineTable(), Source("a", text)
    assert table.position(source, offset) == (text.count("\n", 0, offset) + 1, len(before) + 1)
    assert table.in_utf16(source, offset) == (text.count("\n", 0, offset) + 1, len(before.encode("utf-16-le")) // 2 + 1)
    assert utf16_units(text) == len(text.encode("utf-16-le")) // 2


def test_a_span_ends_one_past_its_end() -> None:
    """Emoji take two units of UTF-16 and one code point."""
    place = Place(Source("a", "x\n🎛🎛 ab\n"), 3, 7)
    assert LineTable().span(place) == ((2, 2), (2, 6))
    assert LineTable().utf16_span(place) == ((2, 3), (2, 8))
