"""Proofs told in words, in Markdown and as JSON: no list without what it does not exclude.

The taxa and the small catalogue are invented; the words for methods, levels and grades are the schema's.
"""

from __future__ import annotations

import json
import random
import re
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st
from markdown_it import MarkdownIt

from sporeproof.confusion.proof import as_handled, proof
from sporeproof.findings import SAFETY_NOTE, plain
from sporeproof.form.catalogue import characters_of
from sporeproof.report.markdown import escaped, pipe_table
from sporeproof.report.proof_table import proofs_json, proofs_markdown, proofs_text
from sporeproof.report.proof_text import percent, proof_markdown, proof_text
from sporeproof.report.proof_told import proof_json
from tests.confusion.test_proof import CAP, DEADLY, EATEN, SPINED, changed, some_case, taxon
from tests.laws.taxa import form as the_form
from tests.report.hostile import few, texts

WIDTH = 100
TABLE_WIDTH = 110
CATALOGUE = [
    {"id": "knobs", "title": "Knobs", "part": "cap", "kind": "categorical", "proof": "firm", "seen_by": "glance",
     "states": {"round": {"means": "As peas"}, "flat": {}}},
    {"id": "bedding", "title": "What it beds in", "part": "setting", "kind": "categorical", "proof": "firm",
     "seen_by": "close", "states": {"moss": {"means": "Green moss"}, "sand": {}}},
    {"id": "fizz", "title": "Fizz", "part": "flesh", "kind": "categorical", "proof": "firm", "seen_by": "cut",
     "read_when": ["fresh"], "states": {"loud": {"means": "Heard at arm's length"}, "none": {}}},
    {"id": "dust", "title": "Dust", "part": "spores", "kind": "categorical", "proof": "firm",
     "seen_by": "spore-print", "every": False, "states": {"green": {}, "red": {}}},
    {"id": "grain", "title": "Grain", "part": "spores", "kind": "measured", "proof": "firm", "seen_by": "microscope",
     "every": False, "unit": "um"},
]  # fmt: skip
LOOK = {"knobs": "round", "bedding": ["moss", "sand"], "fizz": "loud", "dust": "green", "grain": [4, 5]}
FIGMENT = changed(
    taxon(
        "Fictum commune",
        "edible",
        LOOK,
        accept_only={"bedding": ["moss"], "stage": ["mature"]},
        needs=["peel-skin"],
        cautions=["raw-upsets"],
    ),
    id="F9001",
    vernacular={"en": ["Common Figment"]},
)
TWIN = taxon("Dubium geminum", "deadly", {**LOOK, "knobs": "flat", "bedding": "moss", "dust": "red", "grain": [9, 12]})
BLANK = taxon("Dubium ignotum", "unknown", {})
RAW = taxon("Dubium crudum", "edible", LOOK, needs=["cook-at-length"])

FIELD = """
Field: eyes, nose, hands and a knife
  1. What it beds in: accept moss (green moss)
    How: close up (seen or felt in the hand, with a lens if need be)
    Counts against no suspects.
  2. Knobs: accept round (as peas)
    How: at a glance (seen from where one stands, or with a ruler)
    Counts against 1 suspect.

Not excluded at the level “field”: 3
  Dubium geminum: DEADLY. Told apart too thinly (1 of the 2 required).
  Dubium ignotum: UNKNOWN. Nothing on the list tells it apart (0 of the 2 required).
  Dubium crudum: POISONS UNLESS PREPARED IN ITS OWN WAY (cook long and hot). Nothing on the list
    tells it apart (0 of the 1 required).

Print: the field, and a spore print taken at home
  All of the list above, and:
  3. Dust: accept green
    How: spore print (read from the spores that a cap drops overnight)
    It speaks for the one fruitbody examined; each of its neighbours has to pass by itself.
    Counts against 1 suspect.

Not excluded at the level “print”: 2
  Dubium ignotum: UNKNOWN. Nothing on the list tells it apart (0 of the 2 required).
  Dubium crudum: POISONS UNLESS PREPARED IN ITS OWN WAY (cook long and hot). Nothing on the list
    tells it apart (0 of the 1 required).

Lab: the print, and an ultraviolet lamp, reagents and a microscope
  Adds nothing to the list above.

Not excluded at the level “lab”: 2
  As above: Dubium ignotum: UNKNOWN; Dubium crudum: POISONS UNLESS PREPARED IN ITS OWN WAY (cook
    long and hot)
"""


@pytest.fixture(scope="module")
def small(form):
    return replace(form, characters=characters_of(CATALOGUE), implications=[])


@pytest.fixture
def figment(small):
    return proof(FIGMENT, [TWIN, BLANK, RAW], small, missing=[])


@pytest.fixture(scope="module")
def many(form):
    """Proofs of invented cases, and of every kind: some exclude all, some nothing, some lack suspects."""
    cases = [(*some_case(seed, form), ["Dubium absens"] if seed % 5 == 0 else []) for seed in range(40)]
    bare = [taxon(f"Dubium n{number}", "deadly", CAP) for number in range(9)]
    cases += [(taxon("Fictum commune", "edible", SPINED), [DEADLY], []), (EATEN, [], []), (EATEN, bare, [])]
    return [proof(a, suspects, form, missing=missing) for a, suspects, missing in cases]


def running(text: str) -> str:
    return " ".join(text.split())


def section(text: str, start: str) -> str:
    """The text below a heading up to the next blank line."""
    return text[text.index(f"\n{start}") + 1 :].partition("\n\n")[0]


# --- One proof ---


def test_each_list_is_followed_at_once_by_what_it_does_not_exclude(small, figment):
    assert FIELD in proof_text(figment, small)


def test_the_rule_the_age_and_the_limits_come_first(small, figment):
    head, use, *_ = proof_text(figment, small).split("\n\n")
    assert head.startswith("What to look at before Fictum commune (F9001) is accepted\n")
    assert "Common Figment" in head
    assert "Grade of proof: UNPROVEN." in head
    assert "THE LISTS BELOW DO NOT PROVE IT." in head
    assert "Each fruitbody passes every item or is left. An item that cannot be read fails." in use
    assert "Of this age only: mature (" in use
    assert "Compared with 3 suspects of this dataset. What is not in the dataset is not ruled out" in running(use)


def test_needs_cautions_and_grade_end_it(small, figment):
    text = proof_text(figment, small)
    titles = [part.partition("\n")[0] for part in text.split("\n\n")]
    assert titles[-3:] == ["Never without", "Cautions", "Grade of proof"]
    for kind, id in (("needs", "peel-skin"), ("cautions", "raw-upsets"), ("grades", "unproven")):
        term = small.vocabularies[kind][id]
        assert f"{term.title}: {term.definition}" in running(text)
    end = running(section(text, "Grade of proof"))
    assert "Why: At no level told far enough from Dubium ignotum, Dubium crudum." in end
    assert "the lists accept: field 50 %, print 50 %, lab 50 %. What they do not accept is left." in end


def test_how_to_read_is_told_in_full(small):
    silent = changed(TWIN, characters=LOOK | {"fizz": "none"})
    text = proof_text(proof(FIGMENT, [silent], small, missing=[]), small)
    assert "3. Fizz" not in text
    assert "2. Fizz: accept loud (heard at arm's length)" in text
    assert f"Read only when: {small.vocabularies['readings']['fresh'].definition}".lower() in running(text).lower()


def test_an_accepted_range_is_told_with_its_unit(small):
    text = proof_text(proof(FIGMENT, [changed(TWIN, characters=LOOK | {"grain": [9, 12]})], small, missing=[]), small)
    assert "Grain" not in text  # alone it counts nothing: it speaks for one fruitbody only
    mild = changed(TWIN, edibility={"verdict": "poisonous", "syndromes": ["gastrointestinal"]})
    entry = changed(FIGMENT, characters={"grain": [4, 5]}, edibility={"verdict": "edible"})
    text = proof_text(proof(entry, [changed(mild, characters={"grain": [9, 12]})], small, missing=[]), small)
    assert "1. Grain: accept 4 to 5 " in text


def test_nothing_short_is_said_without_reassurance(small):
    parted = changed(TWIN, characters=LOOK | {"knobs": "flat", "fizz": "none"})
    text = proof_text(proof(FIGMENT, [parted], small, missing=[]), small)
    assert "DO NOT PROVE" not in text
    for level in ("field", "print", "lab"):
        said = section(text, f"Not excluded at the level “{level}”: 0\n")
        assert "None of those compared is short of what is required. Others were not compared." in said
    assert not re.search(r"\bsafe\b|\bsure\b|\bcertain\b", text)


def test_an_empty_list_proves_nothing(small):
    text = proof_text(proof(taxon("Fictum nudum", "edible", {}), [], small, missing=[]), small)
    assert "Nothing is on the list. An empty list proves nothing." in text
    assert "Compared with NO SUSPECT AT ALL." in text


def test_who_was_not_compared_stands_in_full_at_every_level(small):
    absent = [f"Dubium absens{number}" for number in range(5)]
    found = proof(FIGMENT, [changed(TWIN, characters=LOOK | {"knobs": "flat", "fizz": "none"})], small, missing=absent)
    text = proof_text(found, small)
    for level in ("field", "print", "lab"):
        said = running(section(text, f"Not excluded at the level “{level}”"))
        assert "0, and 5 not compared" in said
        assert all(name in said for name in absent)
        assert "None of those compared" not in said


def test_what_accepts_nothing_leaves_every_fruitbody(small):
    entry = changed(FIGMENT, edibility={"verdict": "edible", "accept_only": {"knobs": ["flat"]}})
    assert "Knobs: accept nothing: " in proof_text(proof(entry, [TWIN], small, missing=[]), small)


def test_every_text_holds_every_suspect_not_excluded(form, many):
    for found in many:
        for text in (proof_text(found, form), proof_markdown(found, form).replace("\n## ", "\n\n\n## ")):
            parts = [part for part in re.split(r"\n\n+(?=\S)", text) if "Not excluded at the level" in part[:40]]
            if text.startswith("#"):
                parts = re.findall(r"## Not excluded at the level.*?(?=\n## |\Z)", text, re.DOTALL)
            assert len(parts) == len(found.lists)
            for each, part in zip(found.lists, parts, strict=True):
                assert f": {len(each.does_not_exclude)}" in part.partition("\n")[0]
                names = [short.suspect.name for short in each.does_not_exclude]
                places = [running(part).index(f"{name}: ") for name in names]
                assert places == sorted(places)
                assert all(name in part for name in found.missing)


def test_every_item_is_told_once_in_the_order_of_handling(form, many):
    for found in many:
        text = running(proof_text(found, form))
        last = as_handled(found.lists[-1].items)
        for number, item in enumerate(last, 1):
            assert text.count(f" {number}. {item.character.title}: accept ") == 1
        setting = [item.character.part == "setting" for item in last]
        assert setting == sorted(setting, reverse=True)


def test_no_line_is_wider_than_promised_or_ends_in_blanks(form, many):
    for found in many:
        for line in proof_text(found, form).splitlines():
            assert len(line) <= WIDTH
            assert line == line.rstrip()


def test_markdown_says_what_the_text_says_and_ends_with_the_note(form, many):
    for found in many:
        page = proof_markdown(found, form)
        inline = [each.children for each in MarkdownIt().parse(page) if each.type == "inline"]
        told = [running("".join(child.content for child in children)) for children in inline]
        assert told[-1] == SAFETY_NOTE
        text = re.sub(r"(?<= )\d+\. ", "", running(proof_text(found, form)))
        assert running(" ".join(told[:-1])) == text


def test_json_agrees_with_the_proof(form, many):
    for found in many:
        told = json.loads(proof_json(found, form))
        assert (told["schema"], told["safety_note"]) == (1, SAFETY_NOTE)
        assert (told["grade"]["id"], told["reason"]) == (found.grade, found.reason)
        assert told["proven"] == (found.grade != "unproven")
        assert (told["suspects"], told["missing"]) == (found.suspects, list(found.missing))
        held: list[str] = []
        for each, of in zip(told["lists"], found.lists, strict=True):
            assert (each["level"]["id"], each["share"]) == (of.level, pytest.approx(of.share, abs=1e-4))
            assert [_item(item) for item in each["items"]] == [_expected(item) for item in as_handled(of.items)]
            assert [item["position"] for item in each["items"]] == list(range(1, len(of.items) + 1))
            assert {*held, *each["adds"]} == {item["character"] for item in each["items"]}
            held += each["adds"]
            short = [(s["name"], s["required"], s["separators"]) for s in each["does_not_exclude"]]
            assert short == [(s.suspect.name, s.required, s.separators) for s in of.does_not_exclude]


def _item(item):
    accept = item["accept"]
    values = [each["id"] for each in accept["states"]] if "states" in accept else [accept["low"], accept["high"]]
    return item["character"], values, [each["id"] for each in item["read_when"]], item["rules_out"]


def _expected(item):
    return item.character.id, list(item.range or item.states), list(item.character.read_when), item.rules_out


@few
@given(texts, texts)
def test_nothing_that_a_terminal_obeys_or_markdown_reads(name, because):
    form = the_form()
    entry = changed(EATEN, name=f"F{name}", edibility={"verdict": "edible", "grade_at_most": {"because": because}})
    found = proof(entry, [DEADLY], form, missing=[f"Dubium {name}"])
    for text in (proof_text(found, form), proof_markdown(found, form), proof_json(found, form)):
        assert all(line.isprintable() for line in text.split("\n"))
    for text in (proofs_text([found], form), proofs_markdown([found], form), proofs_json([found], form)):
        assert all(line.isprintable() for line in text.split("\n"))


# --- All proofs ---


def cells(page: str) -> list[list[str]]:
    """The rows of the one table of a page, as a reader of Markdown sees them."""
    found: list[list[str]] = []
    for each in MarkdownIt("commonmark").enable("table").parse(page):
        if each.type == "tr_open":
            found.append([])
        elif each.type == "inline" and each.level > 2:
            found[-1].append("".join(child.content for child in each.children or []))
    return found


def test_the_markdown_table_has_a_row_for_each_and_equal_cells(form, many):
    page = proofs_markdown(many, form)
    head, *rows = cells(page)
    assert head == [
        "Name",
        "Grade",
        "Items",
        "Left, field",
        "Left, print",
        "Left, lab",
        "Accepts",
        "Not excluded",
        "Why",
    ]
    pipes = [line.replace("\\|", "").count("|") for line in page.splitlines() if line.startswith("|")]
    assert set(pipes) == {len(head) + 1}
    assert len(rows) == len(many)
    for row, found in zip(rows, many, strict=True):
        left = [str(len(each.does_not_exclude)) for each in found.lists]
        title = form.vocabularies["grades"][found.grade].title
        assert row[:-2] == [
            found.entry.name,
            title,
            str(len(found.lists[0].items)),
            *left,
            percent(found.lists[0].share),
        ]
        assert row[-1] == running(found.reason)
        assert all(short.suspect.name in row[-2] for short in found.lists[0].does_not_exclude[:3])
        assert all(name in row[-2] for name in found.missing)
    assert page.endswith(f"\n\n{SAFETY_NOTE}\n")


def test_the_text_table_is_aligned_and_names_the_worst(small, figment):
    text = proofs_text([figment, proof(FIGMENT, [], small, missing=["Dubium absens"])], small)
    assert text.startswith("2 edible entries: 2 unproven, 0 specialist, 0 with a print, 0 practised, 0 beginner.\n")
    assert text.partition("\n\n")[2] == (
        "  Name            Grade     Items  Left, field  Left, print  Left, lab  Accepts\n"
        "  Fictum commune  Unproven  2      3            2            2          50 %\n"
        "      Not excluded: Dubium geminum (deadly), Dubium ignotum (unknown), "
        "Dubium crudum (poisons unless prepared\n"
        "      in its own way)\n"
        "      Why: At no level told far enough from Dubium ignotum, Dubium crudum.\n"
        "  Fictum commune  Unproven  1      0            0            0          50 %\n"
        "      Not excluded: none of those compared; not compared: Dubium absens\n"
        "      Why: Not compared with what it must be compared with: Dubium absens.\n"
    )


def test_the_text_table_is_no_wider_than_promised(form, many):
    assert all(len(line) <= TABLE_WIDTH for line in proofs_text(many, form).splitlines())


def test_a_table_of_nothing_is_still_a_table(form):
    assert proofs_text([], form).startswith("0 edible entries: ")
    assert len(cells(proofs_markdown([], form))) == 1
    assert json.loads(proofs_json([], form))["proofs"] == []


def test_the_json_table_holds_all_that_is_not_excluded(form, many):
    told = json.loads(proofs_json(many, form))
    assert (told["schema"], told["safety_note"]) == (1, SAFETY_NOTE)
    assert sum(told["grades"].values()) == len(many)
    for row, found in zip(told["proofs"], many, strict=True):
        assert (row["name"], row["grade"]["id"], row["reason"]) == (found.entry.name, found.grade, found.reason)
        assert (row["items"], row["missing"]) == (len(found.lists[0].items), list(found.missing))
        assert list(row["does_not_exclude"]) == [each.level for each in found.lists]
        for each in found.lists:
            short = [(s["name"], s["required"], s["separators"]) for s in row["does_not_exclude"][each.level]]
            assert short == [(s.suspect.name, s.required, s.separators) for s in each.does_not_exclude]


# --- Markdown ---


@few
@given(texts)
def test_escaped_text_reads_as_it_was(text):
    """Read back by an independent parser, as a paragraph, below a bullet and in a cell."""
    told = plain(running(text)).strip()
    if not told or "\\u{" in told:  # what is made visible is no longer what was given
        return
    for page in (f"a {escaped(text)}\n", f"- a {escaped(text)}\n"):
        inline = [each for each in MarkdownIt().parse(page) if each.type == "inline"]
        assert ["".join(child.content for child in each.children) for each in inline] == [f"a {told}"]
        assert {child.type for each in inline for child in each.children} <= {"text", "text_special"}
    assert cells("\n".join(pipe_table(["a"], [[f"a {text}"]]))) == [["a"], [f"a {told}"]]


def test_a_bar_stays_within_its_cell():
    told = ["a|b", "|", "a\\|b", "a | b |"]
    assert cells("\n".join(pipe_table(["x", "y", "z", "u"], [told]))) == [["x", "y", "z", "u"], told]


@pytest.mark.parametrize("text", ["- x", "1. x", "12) x", "+ x", "=== x", "# x", "> x", "* x", "```", "~~~", "---"])
def test_no_text_opens_a_block(text):
    for page in (escaped(text), f"- {escaped(text)}"):
        found = [each.type for each in MarkdownIt().parse(page)]
        assert found.count("bullet_list_open") == page.startswith("- ")
        assert not {"ordered_list_open", "heading_open", "blockquote_open", "fence", "hr"} & set(found)


@given(st.floats(0, 1))
def test_a_share_is_never_told_as_more_than_it_is(share):
    said = percent(share)
    assert (said == "100 %") == (share > 1 - 1e-9)
    assert (said == "0 %") == (share == 0)
    assert said == "under 1 %" or int(said.partition(" ")[0]) <= share * 100 + 1e-6


def test_some_of_the_cases_are_told_in_each_way(many):
    """The laws above would say nothing of what never occurs."""
    assert {found.grade for found in many} >= {"unproven", "beginner"}
    assert any(not each.does_not_exclude for found in many for each in found.lists)
    assert any(found.missing for found in many)
    assert random.Random(1).choice(many).lists
