"""Tables and grids: what is read, what is refused, and that every bad row is named at once."""

from __future__ import annotations

import csv
import io
import time
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from formparts import InputError, find_recipe, grid_rows, read_table
from formparts.families import checked
from formparts.families.gridding import axis

RISER = find_recipe("ring_riser")


def table(folder: Path, text: str | bytes, name: str = "t.csv") -> Path:
    path = folder / name
    path.write_bytes(text if isinstance(text, bytes) else text.encode())
    return path


def test_units_in_the_header_and_in_the_cell(tmp_path: Path) -> None:
    """A heading's unit goes with bare numbers; a cell's own unit goes first. 1 in = 25.4 mm (1959 agreement)."""
    rows = read_table(table(tmp_path, "name,rise [in],lug_count\nsmall,0.5,3\nlarge,16 mm,\n"))
    (small, large), faults = checked(RISER, rows)
    assert not faults
    assert (small.parameters["rise"], small.parameters["lug_count"]) == (12.7, 3)
    assert (large.parameters["rise"], large.parameters["lug_count"]) == (
        16.0,
        4,
    )  # an empty cell: the default


@pytest.mark.parametrize("separator", [",", ";", "\t"])
@pytest.mark.parametrize("mark", [b"", b"\xef\xbb\xbf"])
@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
def test_separators_byte_order_mark_and_line_ends(
    tmp_path: Path, separator: str, mark: bytes, end: str
) -> None:
    """What spreadsheets write is read alike: RFC 4180 leaves the line ends and the mark to the writer."""
    lines = [("name", "rise"), ("a b", "15"), ("", ""), ('"c ""d"""', "16.5")]
    text = end.join(separator.join(line) for line in lines)
    first, second = read_table(table(tmp_path, mark + text.encode()))
    assert (first.name, first.values) == ("a b", {"rise": "15"})
    assert (second.name, second.values) == ('c "d"', {"rise": "16.5"})


def test_toml(tmp_path: Path) -> None:
    """The same from TOML, with numbers and with text."""
    text = '[[variant]]\nname = "a"\nrise = 15\n[[variant]]\nname = "b"\nrise = "1/2 in"\nlug_count = 3\n'
    (a, b), faults = checked(RISER, read_table(table(tmp_path, text, "t.toml")))
    assert not faults
    assert (a.parameters["rise"], b.parameters["rise"], b.parameters["lug_count"]) == (15.0, 12.7, 3)


@pytest.mark.parametrize(
    ("name", "text", "said"),
    [
        ("t.csv", "", "holds no rows"),
        ("t.csv", "name,rise\n", "holds no rows"),
        ("t.csv", "name,rise\n,\n \n", "holds no rows"),
        ("t.csv", "rise\n15\n", "no column `name`"),
        ("t.csv", "name,rise,rise [mm]\na,1,2\n", "two columns are called rise"),
        ("t.csv", "name,,rise\na,1,2\n", "heading of column 2"),
        ("t.csv", b"name,rise\n\xff\xfe,15\n", "not UTF-8"),
        ("t.csv", 'name,rise\n"a,15\n', "cannot be read"),
        ("t.toml", "", "holds no rows"),
        ("t.toml", "[[variant\n", "is not TOML"),
        ("t.toml", "[small]\nrise = 15\n", "write [[variant]]"),
        ("t.toml", "variant = 3\n", "write [[variant]]"),
        ("t.xlsx", "", "neither .csv nor .toml"),
    ],
)
def test_tables_that_cannot_be_read(tmp_path: Path, name: str, text: str | bytes, said: str) -> None:
    """Each is refused in one line that names the file."""
    path = table(tmp_path, text, name)
    with pytest.raises(InputError) as refused:
        read_table(path)
    assert said in str(refused.value)
    assert name in str(refused.value)
    assert "\n" not in str(refused.value)


def test_a_missing_table(tmp_path: Path) -> None:
    """No traceback for a file that is not there, or that is a folder."""
    for path in (tmp_path / "none.csv", tmp_path / "folder.csv"):
        (tmp_path / "folder.csv").mkdir(exist_ok=True)
        with pytest.raises(InputError, match="cannot be read"):
            read_table(path)


def test_every_bad_row_is_named_at_once(tmp_path: Path) -> None:
    """Row number and reason of each; the good one is not among them."""
    text = 'name,rise,lug_count\n,14,3\na,"12,5",4\nA,15,4\nb,900,4\nc,15,4,7\ne,15\nok,15,3\nok,16,3\nd,15,2.5\n'
    variants, faults = checked(RISER, read_table(table(tmp_path, text)))
    assert [variant.name for variant in variants] == ["ok"]
    said = {fault.number: fault.reason for fault in faults}
    assert list(said) == [2, 3, 4, 5, 6, 7, 9, 10]
    assert "no name" in said[2]
    assert "write 12.5" in said[3]
    assert "differs only by case from 'a' of row 3" in said[4]
    assert "larger than the greatest, 500 mm" in said[5]
    assert "4 cells under 3 headings" in said[6]
    assert "decimal comma" in said[6]
    assert "2 cells under 3 headings" in said[7]
    assert "the name of row 8" in said[9]
    assert "lug_count" in said[10]


def test_semicolons_with_decimal_commas_are_refused_clearly(tmp_path: Path) -> None:
    """What a spreadsheet of another country writes: the cell is read as one, and refused with the way out."""
    _, (fault,) = checked(RISER, read_table(table(tmp_path, "name;rise [mm]\na;12,5\n")))
    assert "12,5" in fault.reason
    assert "write 12.5" in fault.reason


def test_ten_thousand_rows_are_checked_in_seconds(tmp_path: Path) -> None:
    """A large table is not a trouble; counted in processor time, since others may be at work on the machine."""
    lines = "\n".join(f"v{number},{12 + number / 2000:.4f}" for number in range(10_000))
    path = table(tmp_path, f"name,rise\n{lines}\n")
    began = time.process_time()
    variants, faults = checked(RISER, read_table(path))
    assert (len(variants), len(faults)) == (10_000, 0)
    assert len({variant.folder.casefold() for variant in variants}) == 10_000
    assert time.process_time() - began < 10.0


def test_grid_is_the_product_of_its_axes() -> None:
    """By hand: 9 rises (20, 25 ... 60) times 2 counts; the last axis changes fastest."""
    rows = list(grid_rows(["rise=20..60mm:5", "lug_count=3,4"]))
    assert len(rows) == 18
    assert rows[0].values == {"rise": "20 mm", "lug_count": "3"}
    assert rows[1].values == {"rise": "20 mm", "lug_count": "4"}
    assert rows[-1].values == {"rise": "60 mm", "lug_count": "4"}
    assert rows[0].name == "rise-20mm_lug_count-3"


@given(start=st.integers(0, 50), count=st.integers(1, 60), step=st.sampled_from(["0.1", "0.25", "1/8", "3"]))
def test_steps_do_not_drift(start: int, count: int, step: str) -> None:
    """Steps are counted in exact fractions: 0.1 added ten times is 1, which it is not in binary."""
    from fractions import Fraction

    by = Fraction(step)
    end = start + by * (count - 1)
    _, values = axis(f"x={start}..{float(end):.12g}mm:{step}")
    assert [float(value.split()[0]) for value in values] == [
        pytest.approx(float(start + by * place), abs=1e-11) for place in range(count)
    ]


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("rise", "NAME=VALUES"), ("=3", "NAME=VALUES"), ("rise=", "NAME=VALUES"), ("rise=1..5", "FROM..TO:STEP"),
        ("rise=5..1:1", "go up"), ("rise=1..5:0", "go up"), ("rise=1..5:-1", "go up"),
        ("rise=1mm..5in:1", "several units"), ("rise=a..b:c", "FROM..TO:STEP"), ("rise=1,,2", "empty value"),
        ("rise=1,1", "has 1 twice"),
    ],
)  # fmt: skip
def test_grids_that_cannot_be_read(text: str, said: str) -> None:
    """Each is refused in one line, with the way to write it."""
    with pytest.raises(InputError, match=said) as refused:
        list(grid_rows([text]))
    assert "rise=20..60mm:5" in str(refused.value)


def test_a_parameter_has_one_axis_and_the_product_an_end() -> None:
    """The same name twice, and hundreds of thousands of combinations, are slips of the pen."""
    with pytest.raises(InputError, match="twice"):
        grid_rows(["rise=1,2", "rise=3"])
    with pytest.raises(InputError, match="no more than 300000 variants"):
        grid_rows([f"{name}=0..999:1" for name in "abc"])
    with pytest.raises(InputError, match=r"has 1000000001 values, more than 300000 .* take larger steps"):
        grid_rows(["rise=0..1e9:1"])


@given(
    st.lists(
        st.lists(st.text(st.characters(exclude_characters="\0"), max_size=12), min_size=2, max_size=2),
        min_size=1,
        max_size=4,
    )
)
def test_any_cells_are_read_as_they_were_written(cells: list[list[str]]) -> None:
    """The csv module of the standard library writes all but NUL, we read: names and values come back, stripped."""
    from formparts.families.table import _csv_rows

    text = io.StringIO(newline="")
    csv.writer(text).writerows([["name", "rise"], *cells])
    rows = _csv_rows(text.getvalue(), Path("t.csv"))
    wanted = [(name.strip(), rise.strip()) for name, rise in cells if name.strip() or rise.strip()]
    assert [(row.name, row.values.get("rise", "")) for row in rows] == wanted
