"""No edit that a program makes changes what can harm somebody, whatever is renamed or numbered.

Any entry of the real dataset, any new name. The new names are invented.
"""

from __future__ import annotations

import re
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from sporeproof import run
from sporeproof.names.answers import Answer
from sporeproof.names.patch import Plan
from sporeproof.records.entry import Entry
from sporeproof.records.read import TAXA, Companion
from sporeproof.tables.numbers import number, write_numbers
from sporeproof.tables.resolve import Checklist, references
from sporeproof.text.edit import replace_words
from sporeproof.text.read import Page
from tests.conftest import ROOT
from tests.laws.taxa import form
from tests.names.invented import lay, planned, readings_of, tree

NAMING = {"name", "authorship", "former_names"}
COMMENT = re.compile(r"(?:^|\s)(#.*)")
COMPANION = Companion(Page("dataset/retired.yaml"), {})


@cache
def entries() -> dict[str, str]:
    """The texts of the real dataset by file stem."""
    return {path.stem: path.read_bytes().decode() for path in sorted((ROOT / TAXA).glob("*.yaml"))}


def read(texts: dict[str, str]) -> dict[str, Entry]:
    return {each.entry.key: each.entry for each in readings_of(texts, form()) if each.entry}


@st.composite
def renames(draw: st.DrawFn) -> list[Answer]:
    """One to three binomials of the dataset, each renamed to an invented one."""
    names = sorted(entry.name for entry in read(entries()).values() if len(entry.name.split()) == 2)
    old = draw(st.lists(st.sampled_from(names), min_size=1, max_size=3, unique=True))
    epithet = st.text("abcdefgilmnoprstu", min_size=3, max_size=8).map(lambda stem: f"{stem}ceps")
    new = draw(st.lists(epithet, min_size=len(old), max_size=len(old), unique=True))
    by = draw(st.sampled_from(["", "Nemo", "(Fr.) Nemo & Nullus", "Nemo: Fr.", "'t Nemo"]))
    return [Answer(a, "", "renamed", f"Fictum {b}", by, "live") for a, b in zip(old, new, strict=True)]


def after(texts: dict[str, str], plan: Plan) -> dict[str, str]:
    left = {
        stem: text for stem, text in texts.items() if f"{TAXA}/{stem}.yaml" not in {step.was for step in plan.steps}
    }
    return left | {Path(step.file).stem: step.after.decode() for step in plan.steps}


def untouched(entry: Entry) -> dict[str, Any]:
    """All that an entry says, but for its names and the words by which it refers to others."""
    value = {key: below for key, below in entry.value.items() if key not in NAMING | {"members"}}
    for block in ("confusions", "not_confused_with"):
        if block in value:
            value[block] = [{key: below for key, below in each.items() if key != "with"} for each in value[block]]
    return value


def leads(texts: dict[str, Entry]) -> dict[tuple[str, Any], str]:
    """Whom each reference means."""
    checklist = Checklist(texts.values())
    found = [
        (entry.key, path, checklist.find(word).one) for entry in texts.values() for path, word in references(entry)
    ]
    return {(key, path): other.key if other else "" for key, path, other in found}


@settings(max_examples=12, deadline=None)
@given(renames())
def test_a_rename_changes_names_only(answers):
    before = read(entries())
    plan = planned(entries(), answers, form())
    assert len(plan.renames) + len(plan.refused) == len(answers)
    now = read(after(entries(), plan))
    assert before.keys() == now.keys()
    for key, entry in before.items():
        assert repr(untouched(now[key])) == repr(untouched(entry))
        assert {each.name for each in entry.names()} <= {each.name for each in now[key].names()}
        assert COMMENT.findall(now[key].text) == COMMENT.findall(entry.text)
    new = {each.name: each.accepted_name for each in answers}
    words = {(key, path): word for key, entry in before.items() for path, word in references(entry)}
    for key, entry in now.items():
        for path, word in references(entry):
            assert word in {words[key, path], new.get(words[key, path])}
    assert leads(now) == leads(before)


@settings(max_examples=12, deadline=None)
@given(renames())
def test_renaming_twice_is_renaming_once(answers):
    once = after(entries(), planned(entries(), answers, form()))
    assert planned(once, answers, form()).steps == []


def test_the_renames_of_the_law_are_made_and_not_refused():
    """The law above would hold of a program that does nothing."""
    for entry in list(read(entries()).values())[::4]:
        if len(entry.name.split()) == 2:
            answer = Answer(entry.name, "", "renamed", "Fictum falliceps", "Nemo", "live")
            plan = planned(entries(), [answer], form())
            assert [each.entry.name for each in plan.renames] == [entry.name], plan.refused


@settings(max_examples=6, deadline=None)
@given(st.sets(st.sampled_from(sorted(entries())), min_size=1, max_size=6))
def test_numbering_changes_ids_only_and_twice_is_once(stems):
    texts = {stem: replace_words(text, {("id",): "new"}) if stem in stems else text for stem, text in entries().items()}
    with TemporaryDirectory() as folder:
        root = lay(Path(folder) / "copy", texts, [])
        given_ids = number(run.read_whole(root, form()).readings, COMPANION)
        assert [entry.stem for entry, _ in given_ids] == sorted(stems)
        write_numbers(given_ids, root)
        once = tree(root)
        write_numbers(number(run.read_whole(root, form()).readings, COMPANION), root)
        assert tree(root) == once
    ids = {entry.stem: id for entry, id in given_ids}
    kept = {entry.id for entry in read(entries()).values() if entry.stem not in stems}
    assert len(kept | set(ids.values())) == len(kept) + len(stems)
    for stem, text in texts.items():
        expected = re.sub(r"(?m)^id: new", f"id: {ids[stem]}", text, count=1) if stem in ids else text
        assert once[f"{TAXA}/{stem}.yaml"].decode() == expected
