"""Pages from bytes: plain values with places, and one trouble for each piece of bad form."""

from __future__ import annotations

import datetime

import pytest
import yaml
from hypothesis import given, settings
from hypothesis import strategies as st

from sporeproof.text.places import locate
from sporeproof.text.read import MOST_BYTES, MOST_LEVELS, MOST_NODES, plain, read_as, read_page


def troubles(text: str | bytes) -> list[tuple[str, int, int]]:
    data = text.encode() if isinstance(text, str) else text
    return [(each.kind, each.at.line, each.at.column) for each in read_page(data, "x.yaml").troubles]


def test_plain_values():
    page = read_page(b"a: word\nb: [1, 2.5]\nc: {d: 2026-11-25}\ne: 'NO'\nf: true\n", "x.yaml")
    assert plain(page.root) == {
        "a": "word", "b": [1, 2.5], "c": {"d": datetime.date(2026, 11, 25)}, "e": "NO", "f": True,
    }  # fmt: skip
    assert page.troubles == []


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("a: 1\na: 2\n", ("duplicate-key", 2, 1)),
        ("a: &b 1\n", ("anchor", 1, 4)),
        ("a: *b\n", ("alias", 1, 4)),
        ("a: !c d\n", ("tag", 1, 4)),
        ("a: !!str d\n", ("tag", 1, 4)),
        ("1: a\n", ("key-not-a-word", 1, 1)),
        ("12:30: a\n", ("key-not-a-word", 1, 1)),
        ("<<: {a: 1}\n", ("key-not-a-word", 1, 1)),
        ("? [a, b]\n: c\n", ("key-not-a-word", 1, 3)),
        ("a: 1\n---\nb: 2\n", ("several-documents", 2, 1)),
        ("", ("empty", 1, 1)),
        ("# only a comment\n", ("empty", 1, 1)),
        ("---\n", ("empty", 1, 1)),
        ("a:\n\tb: 1\n", ("tab", 2, 1)),
        ("a: [1, 2\n", ("broken-yaml", 1, 4)),
        ("a: 'open\n", ("broken-yaml", 1, 4)),
        (b"\xef\xbb\xbfa: 1\n", ("byte-order-mark", 1, 1)),
        (b"a: 1\nb: caf\xe9\n", ("not-utf8", 2, 7)),
        (b"\xff\xfea\x00", ("not-utf8", 1, 1)),
        (b"a: 1\nb: x\x07y\n", ("hidden-sign", 2, 5)),
        ('a: "x\\ey"\n', ("hidden-sign", 1, 4)),
        ("a: x\u202ey\n", ("hidden-sign", 1, 4)),
        ("a: x\u00a0y\n", ("hidden-sign", 1, 4)),
        ("a: " + "[" * 21 + "]" * 21, ("too-deep", 1, 4 + MOST_LEVELS)),
        ("a: [" + "b, " * (MOST_NODES + 1) + "]", ("too-many-values", 1, 5 + 3 * (MOST_NODES - 3))),
        (b"#" * (MOST_BYTES + 1), ("too-large", 0, 0)),
    ],
)
def test_one_trouble_for_each_piece_of_bad_form(text, expected):
    assert troubles(text) == [expected]


def test_depth_bombs_end_without_recursion():
    for text in ("[" * 200_000, "- " * 100_000 + "a", "{a: " * 60_000, "? " * 100_000):
        assert [kind for kind, *_ in troubles(text)] in (["too-deep"], ["broken-yaml"])


def test_the_word_of_a_key_is_taken_as_written():
    """`on` is a key of ours; before a colon nobody means a truth value."""
    page = read_page(b"on: 2026-11-25\n", "x.yaml")
    assert list(page.root.value) == ["on"]
    assert page.troubles == []


def test_a_duplicate_key_keeps_the_first():
    assert plain(read_page(b"a: 1\na: 2\n", "x.yaml").root) == {"a": 1}


@pytest.mark.parametrize(
    ("written", "meant"),
    [
        ("NO", "the answer no"), ("yes", "the answer yes"), ("off", "the answer no"),
        ("12:30", "the number 750"), ("010", "the number 8"),
        ("~", "nothing at all"), ("null", "nothing at all"), ("2026-13-45", "a date"), (".inf", "the number inf"),
        ("Fagus", ""), ("1e3", ""), ("=", "a special sign"),
    ],
)  # fmt: skip
def test_what_yaml_takes_a_word_for(written, meant):
    """YAML 1.1, as the reference library PyYAML resolves it."""
    assert read_as(written) == meant
    tag = yaml.SafeLoader("").resolve(yaml.ScalarNode, written, (True, False))
    assert tag.endswith(":str") == (meant == "")


def test_a_date_that_does_not_exist_is_a_trap_with_a_place():
    page = read_page(b"a: 2026-02-30\n", "x.yaml")
    assert page.root.value["a"].kind == "trap"


@pytest.mark.parametrize(
    ("path", "place"),
    [
        (("a",), (1, 4)),
        (("b",), (2, 1)),
        (("b", 1), (4, 5)),
        (("b", 1, "c"), (4, 8)),
        (("b", 7), (2, 1)),
        (("nowhere", "at", "all"), (1, 1)),
        (("d", "e"), (5, 8)),
        (("d",), (5, 4)),
    ],
)
def test_places_by_path(path, place):
    text = "a: 1\nb:\n  - x\n  - c: 2\nd: {e: f}\n"
    mark = locate(text, "x.yaml", path)
    assert (mark.line, mark.column) == place


def test_line_ends_count_as_the_parser_counts_them():
    text = 'a: "x\u2028y"\r\nb: 1\r\na: 2\n'
    (trouble,) = [each for each in read_page(text.encode(), "x.yaml").troubles if each.kind == "duplicate-key"]
    assert trouble.at.excerpt == "a: 2"


@settings(deadline=None)
@given(st.binary(max_size=300))
def test_no_bytes_raise(data):
    page = read_page(data, "x.yaml")
    assert page.root is not None or page.troubles


@settings(deadline=None)
@given(st.text(alphabet="ab:-[]{}\"'&*!?#|>%@`,~ \n\t01\\\u2028\ufeff", max_size=60))
def test_no_text_raises_and_plain_values_agree_with_the_reference_library(text):
    """Against PyYAML's own safe loader: where we find no trouble and no trap, it reads the same."""
    page = read_page(text.encode(), "x.yaml")
    if page.troubles or page.root is None or _has_trap(page.root):
        return
    assert plain(page.root) == yaml.load(text, Loader=yaml.CSafeLoader)


def _has_trap(node) -> bool:
    below = node.value.values() if node.kind == "mapping" else node.value if node.kind == "list" else ()
    return node.kind == "trap" or any(_has_trap(each) for each in below)
