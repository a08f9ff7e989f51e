"""Names of units as file names."""

import string

import pytest
from hypothesis import given
from hypothesis import strategies as st

from exporters.filenames import file_stems


@pytest.mark.parametrize(
    ("name", "stem"),
    [
        ("Press base (left)", "press-base-left"),
        ("N\u00e4htisch", "nahtisch"),
        ("../../etc/passwd", "etc-passwd"),
        ("CON", "con-unit"),
        ("lpt1", "lpt1-unit"),
        ("\u6728", "unit"),
        ("x" * 300, "x" * 80),
    ],
)
def test_stems(name: str, stem: str):
    assert file_stems([name]) == {name: stem}


def test_names_that_become_one_are_numbered():
    names = ["a b", "A-B", "a b 2", "a.b"]
    assert list(file_stems(names).values()) == ["a-b", "a-b-2", "a-b-2-2", "a-b-3"]


@given(st.lists(st.text(max_size=12), unique=True))
def test_stems_are_unique_and_plain(names: list[str]):
    stems = file_stems(names)
    assert list(stems) == names
    assert len(set(stems.values())) == len(names)
    assert set("".join(stems.values())) <= set(string.ascii_lowercase + string.digits + "-")
    assert all(s and s[0] != "-" for s in stems.values())
