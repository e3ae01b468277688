"""Surgical edits, compared letter by letter. The taxa are invented."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sporeproof.text.edit import EditRefused, add_item, insert_key, remove, replace_words, written
from sporeproof.text.read import plain, read_page

BLOCK = """\
# What stands at the top, stays.
id:   new      # a number comes later
name: 'Fictum commune'   # quoted, and it stays quoted

former_names:
    # the oldest last
    - Fictum vulgare   # from the walk sheet
    - name: "Fictum rarum"
      authorship: (Fr.) Nemo
    - {name: Fictum minus,authorship: 'Nemo: Fr.'}
confusions:
- with: Fictum falsum    # twice
  note: >-
    Both stand
    on one log.

- {with: Fictum alienum, hints: [smell]}
# What stands at the end, too.
"""

FLOW = "{id: new, name: Fictum commune, former_names: [ Fictum vulgare,\n  Fictum rarum ], # kept\n  rank: species}\n"

REPLACED = [
    ("plain", BLOCK, ("id",), "F9001", "id:   new ", "id:   F9001 "),
    ("quoted", BLOCK, ("name",), "Fictum novum", "'Fictum commune'", "'Fictum novum'"),
    ("double quotes", BLOCK, ("former_names", 1, "name"), "Fictum altum", '"Fictum rarum"', '"Fictum altum"'),
    (
        "first key of an item",
        BLOCK,
        ("confusions", 0, "with"),
        "Fictum novum",
        "Fictum falsum ",
        "Fictum novum ",
    ),
    ("in brackets", BLOCK, ("confusions", 1, "with"), "Fictum novum", "Fictum alienum,", "Fictum novum,"),
    (
        "a comma in brackets",
        BLOCK,
        ("confusions", 1, "with"),
        "Fictum, novum",
        "Fictum alienum,",
        "'Fictum, novum',",
    ),
    ("a comma in a block", BLOCK, ("id",), "a, b", "id:   new ", "id:   a, b "),
    ("a word that YAML takes for no", BLOCK, ("id",), "NO", "id:   new ", "id:   'NO' "),
    ("a number", BLOCK, ("id",), "1.10", "id:   new ", "id:   '1.10' "),
    ("a colon", BLOCK, ("id",), "Pers.: Fr.", "id:   new ", "id:   'Pers.: Fr.' "),
    ("a number sign", BLOCK, ("id",), "a #b", "id:   new ", "id:   'a #b' "),
    ("a leading sign", BLOCK, ("id",), "*a", "id:   new ", "id:   '*a' "),
    ("quotes within quotes", BLOCK, ("name",), "d'Orbigny", "'Fictum commune'", "'d''Orbigny'"),
    ("an entry in brackets", FLOW, ("name",), "Fictum novum", "Fictum commune", "Fictum novum"),
    ("an item in brackets", FLOW, ("former_names", 1), "Fictum novum", "Fictum rarum", "Fictum novum"),
    ("signs beyond the first plane", "a: \U0001f344 # \U0001f344\nb: x # y", ("b",), "z", "b: x", "b: z"),
    ("CRLF and no last line end", "a: x # y\r\nb: 'z'", ("b",), "w", "'z'", "'w'"),
    ("a plain word on two lines", "a: one\n  two # c\nb: x\n", ("a",), "three", "one\n  two", "three"),
]


@pytest.mark.parametrize(
    ("text", "path", "word", "old", "new"), [row[1:] for row in REPLACED], ids=[row[0] for row in REPLACED]
)
def test_a_word_is_replaced_and_nothing_else(text, path, word, old, new):
    assert text.count(old) == 1
    assert replace_words(text, {path: word}) == text.replace(old, new)


def test_several_words_are_replaced_at_once():
    edited = replace_words(BLOCK, {("confusions", 0, "with"): "A", ("id",): "F9001", ("confusions", 1, "with"): "B"})
    expected = BLOCK.replace("Fictum falsum", "A").replace("Fictum alienum", "B").replace("new ", "F9001 ")
    assert edited == expected


INSERTED = [
    ("after a comment's line", "a: 1 # c\nb: 2\n", (), "a", "x", "y", "a: 1 # c\nx: y\nb: 2\n"),
    ("after a block", "a:\n  - 1 # c\n# d\nb: 2\n", (), "a", "x", "y", "a:\n  - 1 # c\nx: y\n# d\nb: 2\n"),
    (
        "after folded text",
        "a: >-\n  t\n  u\n\n# d\nb: 2\n",
        (),
        "a",
        "x",
        "y",
        "a: >-\n  t\n  u\nx: y\n\n# d\nb: 2\n",
    ),
    ("last, without a line end", "a: 1\nb: 2", (), "b", "x", "y", "a: 1\nb: 2\nx: y"),
    ("with the line ends of the file", "a: 1\r\nb: 2\r\n", (), "a", "x", "y", "a: 1\r\nx: y\r\nb: 2\r\n"),
    ("in brackets", "{a: 1, b: 2}\n", (), "a", "x", "y, z", "{a: 1, x: 'y, z', b: 2}\n"),
    (
        "in an item",
        "l:\n  - a: 1 # c\n    b: 2\n",
        ("l", 0),
        "a",
        "x",
        "y",
        "l:\n  - a: 1 # c\n    x: y\n    b: 2\n",
    ),
    ("a list", "a: 1\n", (), "a", "x", ["y", "NO"], "a: 1\nx: [y, 'NO']\n"),
    ("after an empty value", "a:\nb: 2\n", (), "a", "x", "y", "a:\nx: y\nb: 2\n"),
]


@pytest.mark.parametrize(
    ("text", "path", "after", "key", "value", "expected"),
    [row[1:] for row in INSERTED],
    ids=[row[0] for row in INSERTED],
)
def test_a_key_is_put_after_another(text, path, after, key, value, expected):
    assert insert_key(text, path, after, key, value) == expected


OLD = {"name": "A b", "authorship": "(Fr.) N."}
ADDED = [
    (
        "first in a block",
        "l:\n  # c\n  - a # d\n  - b\n",
        True,
        OLD,
        "l:\n  # c\n  - {name: A b, authorship: (Fr.) N.}\n  - a # d\n  - b\n",
    ),
    (
        "last in a block",
        "l:\n  - a\n  - b # d\n# e\nm: 1\n",
        False,
        "c",
        "l:\n  - a\n  - b # d\n  - c\n# e\nm: 1\n",
    ),
    ("first at the margin", "l:\n- a\nm: 1\n", True, "c", "l:\n- c\n- a\nm: 1\n"),
    ("last without a line end", "l:\r\n- a", False, "c", "l:\r\n- a\r\n- c"),
    (
        "last after a mapping",
        "l:\n  - a: 1\n    b: 2 # d\n",
        False,
        "c",
        "l:\n  - a: 1\n    b: 2 # d\n  - c\n",
    ),
    ("first in brackets", "l: [a, b] # d\n", True, OLD, "l: [{name: A b, authorship: (Fr.) N.}, a, b] # d\n"),
    ("last in brackets", "l: [a, b ] # d\n", False, "x, y", "l: [a, b, 'x, y' ] # d\n"),
    ("first in brackets on lines", "l: [\n  a, # d\n  b,\n]\n", True, "c", "l: [\n  c, a, # d\n  b,\n]\n"),
    ("last after a last comma", "l: [\n  a,\n]\n", False, "c", "l: [\n  a, c,\n]\n"),
    ("into an empty list", "l: [] # d\n", True, "c", "l: [c] # d\n"),
    ("into an empty list in a block item", "k: 1\nl: [ ]\n", False, "c", "k: 1\nl: [c ]\n"),
    ("where there was none", "k: 1 # d\nm: 2\n", True, "c", "k: 1 # d\nl: [c]\nm: 2\n"),
]


@pytest.mark.parametrize(
    ("text", "first", "value", "expected"), [row[1:] for row in ADDED], ids=[row[0] for row in ADDED]
)
def test_an_item_is_added(text, first, value, expected):
    assert add_item(text, ("l",), value, first=first, after="k") == expected


REMOVED = [
    ("a key with its line", "a: 1\nb: 2\nc: 3\n", ("b",), "a: 1\nc: 3\n"),
    ("a key, its comment stays", "a: 1\nb: 2   # see sheet 4\nc: 3\n", ("b",), "a: 1\n# see sheet 4\nc: 3\n"),
    ("a last key", "a: 1\r\nb: 2", ("b",), "a: 1"),
    ("a key over several lines", "a: 1\nb:\n  - x\n  - y\n\nc: 3\n", ("b",), "a: 1\n\nc: 3\n"),
    ("an item", "l:\n  - a\n  - b # d\n  - c\n", ("l", 1), "l:\n  - a\n  # d\n  - c\n"),
    ("an item that is a block", "l:\n  - n: a\n    m: b\n  - c\n", ("l", 0), "l:\n  - c\n"),
    ("a first key of an item", "l:\n  - n: a\n    m: b\n", ("l", 0, "n"), "l:\n  - \n    m: b\n"),
    ("a first item in brackets", "l: [a, b, c]\n", ("l", 0), "l: [b, c]\n"),
    ("a last item in brackets", "l: [a, b, c ]\n", ("l", 2), "l: [a, b ]\n"),
    ("the only item in brackets", "l: [a]\n", ("l", 0), "l: []\n"),
    (
        "an item on a line of its own in brackets",
        "l: [\n  a, # d\n  b, # e\n]\n",
        ("l", 0),
        "l: [\n  # d\n  b, # e\n]\n",
    ),
    ("a key in brackets", "{a: 1, b: 2, c: 3}\n", ("b",), "{a: 1, c: 3}\n"),
]


@pytest.mark.parametrize(("text", "path", "expected"), [row[1:] for row in REMOVED], ids=[row[0] for row in REMOVED])
def test_a_key_or_item_is_taken_out(text, path, expected):
    assert remove(text, path) == expected


REFUSED = [
    ("a text that cannot be read", lambda: replace_words("a: [1\n", {("a",): "x"}), "cannot be read"),
    ("a key given twice", lambda: replace_words("a: 1\na: 2\n", {("a",): "x"}), "Line 2"),
    ("an anchor", lambda: replace_words("a: &b 1\n", {("a",): "x"}), "Line 1"),
    ("a block of text", lambda: replace_words("a: >-\n  t\n", {("a",): "x"}), "`a`"),
    ("a list in place of a word", lambda: replace_words("a: [b]\n", {("a",): "x"}), "`a`"),
    ("nothing in place of a word", lambda: replace_words("a:\n", {("a",): "x"}), "`a`"),
    ("a place that is not there", lambda: replace_words("a: [b]\n", {("a", 3): "x"}), "no `4`"),
    ("a key that is not there", lambda: remove("a: 1\n", ("b",)), "no `b`"),
    ("a key after one that is not there", lambda: insert_key("a: 1\n", (), "b", "c", "x"), "`c`"),
    ("a key that is there", lambda: insert_key("a: 1\nc: 2\n", (), "a", "c", "x"), "`c`"),
    ("an item of a word", lambda: add_item("a: b\n", ("a",), "x"), "`a`"),
    ("the only item of a block", lambda: remove("a:\n  - b\nc: 1\n", ("a", 0)), "by hand"),
    (
        "an item with a comment inside",
        lambda: remove("a:\n  - b: 1 # d\n    c: 2\n  - e\n", ("a", 0)),
        "comment",
    ),
    ("an item with folded text", lambda: remove("a:\n  - b: > # d\n      t\n  - e\n", ("a", 0)), "comment"),
    ("a hidden sign", lambda: replace_words("a: b\n", {("a",): "x\u202ey"}), "sign"),
    ("an empty file", lambda: remove("", ("a",)), "Line 1"),
    (
        "text that runs to the end of the file",
        lambda: insert_key("a: |+\n  t\n\n\n", (), "a", "b", "x"),
        "by hand",
    ),
]


@pytest.mark.parametrize(("edit", "says"), [row[1:] for row in REFUSED], ids=[row[0] for row in REFUSED])
def test_an_edit_that_is_not_safe_is_refused_with_a_sentence(edit, says):
    with pytest.raises(EditRefused, match=says) as refusal:
        edit()
    assert str(refusal.value).endswith(".")


WORDS = st.text(st.characters(exclude_categories=["C", "Z"], include_characters=" "), min_size=1, max_size=12)
TRICKY = st.one_of(
    st.sampled_from(["NO", "~", "null", "0o7", "12:30", "1e3", "2026-11-25", "=", "<<", "...", "---", "#", "' '", '"']),
    st.sampled_from(["-", "- a", "? b", "a: b", "[", "}", "%x", "@", "`", ">", "|", "!t", "&a", "*a", "a,b", "a #b"]),
)


@given(WORDS | TRICKY)
def test_any_word_is_written_so_that_it_reads_as_itself(word):
    for inline in (True, False):
        page = read_page(f"x: {written([word]) if inline else written(word, inline=False)}\n".encode(), "")
        assert plain(page.root) == {"x": [word] if inline else word}
        assert not page.troubles


@given(WORDS | TRICKY, st.sampled_from(["\n", "\r\n"]))
def test_what_is_added_and_taken_out_again_leaves_no_trace(word, end):
    for text in (BLOCK, FLOW):
        kept = text.replace("\n", end)
        assert remove(add_item(kept, ("former_names",), word, first=True), ("former_names", 0)) == kept
        assert remove(insert_key(kept, (), "name", "authorship", word), ("authorship",)) == kept
