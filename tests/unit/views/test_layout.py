"""Tables on a screen: whole words, names with every block, turned where that is shorter."""

from collections import Counter

import pytest
from hypothesis import given
from hypothesis import strategies as st

from simcore.views.console.layout import GAP, Grid, wrapped

WORD = st.text(st.characters(codec="ascii", categories=("L", "N")), min_size=1, max_size=14)
NAME = st.lists(WORD, min_size=1, max_size=5).map(" ".join)
CELL = st.one_of(
    st.floats(-9999, 9999).map("{:.1f}".format), NAME, st.lists(WORD, min_size=6, max_size=20).map(" ".join)
)


@st.composite
def grids(draw: st.DrawFn) -> Grid:
    rows, columns = draw(st.integers(1, 9)), draw(st.integers(1, 9))
    return Grid(
        (draw(NAME),),
        [(draw(NAME),) for _ in range(rows)],
        [(draw(NAME),) for _ in range(columns)],
        [[draw(CELL) for _ in range(columns)] for _ in range(rows)],
        draw(st.sampled_from([(), ("",)])),
    )


def words_of(grid: Grid) -> Counter[str]:
    texts = [name for names in (*grid.rows, *grid.columns) for name in names]
    return Counter(" ".join([*texts, *(cell for row in grid.cells for cell in row)]).split())


@given(grids(), st.sampled_from([1, 20, 40, 60, 80, 120, 200, None]))
def test_every_word_of_every_cell_is_there_whole(grid: Grid, width: int | None) -> None:
    said = Counter(" ".join(line.text for line in grid.lines(width)).split())
    wanted = words_of(grid)
    assert all(said[word] >= count for word, count in wanted.items())
    assert set(said) <= set(wanted) | set(grid.corner[0].split())


@given(grids(), st.sampled_from([60, 80, 120]))
def test_no_line_is_wider_than_the_screen(grid: Grid, width: int) -> None:
    """Words of 14 letters in a name (indented in its second line) and in a cell have room on any of these."""
    assert all(len(line.text) <= width for line in grid.lines(width))


def numbers(rows: int, columns: int, size: int = 6) -> Grid:
    cells = [[str(10**size - 100 * k - j) for j in range(columns)] for k in range(rows)]
    return Grid(
        ("what",),
        [(f"row {k}",) for k in range(rows)],
        [(f"c{k}",) for k in range(columns)],
        cells,
        ("case",),
    )


def test_a_table_with_room_is_one_block_with_numbers_flush_right() -> None:
    assert [line.text for line in numbers(2, 2).lines(80)] == [
        "what        c0      c1",
        "row 0  1000000  999999",
        "row 1   999900  999899",
    ]


def test_too_many_columns_turn_the_table() -> None:
    heads = [line.text for line in numbers(3, 9).lines(60) if line.style == "bold"]
    assert [head.split() for head in heads] == [["case", "row", "0", "row", "1", "row", "2"]]


def test_what_is_too_wide_either_way_goes_on_below_with_its_names() -> None:
    lines = numbers(12, 12).lines(60)
    heads = [line.text for line in lines if line.style == "bold"]
    assert len(heads) == 2 and all(head.startswith("what") for head in heads)
    assert sum(line.text.startswith("row 11 ") for line in lines) == 2
    assert [line.text for line in lines].count("") == 1  # between the blocks


def test_a_pipe_gets_one_block_however_wide() -> None:
    (head, *_), rows = numbers(2, 60).lines(None), 2
    assert len(head.text) > 400 and len(numbers(2, 60).lines(None)) == rows + 1


def test_sentences_take_the_room_that_is_left_and_break_between_words() -> None:
    why = "spins without getting on because the front tyres stand on ice and the rear ones in the air"
    lines = [line.text for line in Grid(("case",), [("a",)], [("n",), ("why",)], [["1.5", why]]).lines(60)]
    assert len({len(line) <= 60 for line in lines}) == 1 and len(lines) == 3
    start = lines[0].index("why")
    assert " ".join(line[start:].strip() for line in lines[1:]) == why


def test_a_word_without_end_stays_whole() -> None:
    word = "x" * 100
    assert wrapped(f"a {word} b", 20) == ["a", word, "b"]
    grid = Grid(("",), [(word,)], [("n",)], [["1"]])
    assert any(word in line.text for line in grid.lines(60))


@pytest.mark.parametrize("text", ["速度 5", "e\N{COMBINING ACUTE ACCENT}te 5"])
def test_letters_of_two_columns_and_of_none_keep_columns_in_line(text: str) -> None:
    from rich.cells import cell_len

    first, second = Grid(("",), [(text,), ("b",)], [("",)], [["1"], ["2"]]).lines(80)
    assert cell_len(first.text) == cell_len(second.text) == cell_len(text) + GAP + 1
