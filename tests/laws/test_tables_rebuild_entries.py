"""The tables of a release lose nothing on the way back to entries, whatever the entries say and whoever wrote the rows.

Taxa, sources, laws and people are invented.
"""

from __future__ import annotations

from datetime import date
from functools import cache
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from sporeproof.records.entry import Entry, Reading
from sporeproof.records.read import Companion, Dataset
from sporeproof.release.content import Content
from sporeproof.run import checklist_of
from sporeproof.tables.build import Facts, Tables, build, months
from sporeproof.tables.rebuilt import named, rebuilt
from sporeproof.text.read import Page
from sporeproof.verifying import again
from tests.laws.taxa import form, narrowings, taxa
from tests.release.edition import edition

EPITHETS = ("album", "bonum", "commune", "durum")
SOURCES = {
    "fern-2001": {"kind": "published", "citation": "Fern 2001, invented", "year": 2001, "doi": "10.9999/fern"},
    "hollow-walks": {"kind": "observation", "citation": "The walks of the Fernhollow Fungus Group"},
}
CITED = [*SOURCES, "common-practice", "from-memory"]
RECALLED = {"source": "from-memory", "recalls": "fern-2001"}


def words(vocabulary: str, most: int = 3) -> st.SearchStrategy[list[str]]:
    return st.lists(st.sampled_from(sorted(form().vocabularies[vocabulary])), max_size=most, unique=True)


def cited() -> st.SearchStrategy[list[Any]]:
    return st.lists(st.sampled_from([*CITED[:3], RECALLED]), max_size=2, unique_by=str)


def some(blocks: dict[str, st.SearchStrategy[Any]]) -> st.SearchStrategy[dict[str, Any]]:
    """Any of the keys, each with a value of its own."""
    return st.fixed_dictionaries({}, optional=blocks)


@st.composite
def seasons(draw: st.DrawFn) -> dict[str, Any]:
    season = {"from": draw(st.integers(1, 12)), "to": draw(st.integers(1, 12))}
    return season | {"peak": draw(st.lists(st.sampled_from(months(season)), max_size=3, unique=True))}


@st.composite
def characters(draw: st.DrawFn) -> dict[str, Any]:
    recorded = draw(taxa())
    own = draw(st.dictionaries(st.sampled_from(sorted(recorded)), cited(), max_size=3))
    return {id: {"is": value, "source": own[id]} if id in own else value for id, value in recorded.items()}


def confusions(others: list[str]) -> st.SearchStrategy[list[dict[str, Any]]]:
    known = st.lists(st.sampled_from(sorted(form().characters)), max_size=3, unique=True)
    blocks = {"told_apart_by": known, "hints": known, "note": st.just("They share logs."), "source": cited()}
    one = st.builds(lambda other, block: {"with": other} | block, st.sampled_from(others), some(blocks))
    return st.lists(one, max_size=3, unique_by=lambda each: each["with"])


@st.composite
def edibilities(draw: st.DrawFn, recorded: dict[str, Any]) -> dict[str, Any]:
    plain = {id: value["is"] if isinstance(value, dict) and "is" in value else value for id, value in recorded.items()}
    verdict = st.sampled_from(sorted(form().vocabularies["verdicts"]))
    opinions = st.builds(
        lambda verdict, source: {"verdict": verdict, "source": source}, verdict, st.sampled_from(CITED)
    )
    only = draw(narrowings(plain)) | draw(some({"stage": st.just(["mature"]), "cap-width": st.just([20, 35.5])}))
    more = {"severity": st.just("severe"), "needs": words("needs"), "cautions": words("cautions")}
    more |= {"syndromes": words("syndromes"), "opinions": st.lists(opinions, max_size=3)}
    return {"verdict": draw(verdict), "accept_only": only} | draw(some(more))


@st.composite
def entries(draw: st.DrawFn, number: int) -> Entry:
    epithet = EPITHETS[number]
    others = [f"Fictum {each}" for each in EPITHETS] + ["F9001", "Old Fiction durum"]
    recorded = draw(characters())
    named_ = st.sampled_from([f"Fictum vetus-{epithet}", {"name": f"Olim {epithet}", "kind": "misapplied"}])
    value = {
        "id": f"F900{number + 1}",
        "name": f"Fictum {epithet}",
        "rank": draw(st.sampled_from(["species", "species-group"])),
        "edibility": draw(edibilities(recorded)),
        "characters": recorded,
        "confusions": draw(confusions(others)),
        "not_confused_with": [each | {"because": "Another world"} for each in draw(confusions(others))],
        "vernacular": {"en": [f"Old Fiction {epithet}", f"New Fiction {epithet}"], "de-AT": [f"Fiktion {epithet}"]},
        "former_names": draw(st.lists(named_, max_size=2, unique_by=str)),
        "review": draw(st.sampled_from([{"state": "unreviewed"}, {"state": "reviewed", "on": date(2026, 3, 2)}])),
    }
    setting = {"substrate": words("substrates"), "habitat": words("habitats"), "season": seasons()}
    setting |= {"hosts": st.just({"usual": ["Fagus", "Betula"], "always": ["Alnus"]}), "uses": words("uses")}
    said = {"authorship": st.just("Fern."), "family": st.just("Fictaceae"), "region": st.just("GB")}
    default = some({"characters": cited(), "setting": cited(), "confusions": cited()})
    value |= draw(some(setting | said | {"sources": default}))
    return Entry(f"dataset/taxa/fictum-{epithet}.yaml", "", value)


PROTECTION = {"instrument": "The Fernhollow Act", "acts": ["pick", "sell"], "source": [RECALLED]}
BESIDE = {
    "sources": SOURCES,
    "protections": [
        PROTECTION | {"name_as_listed": "Fictum album", "territories": ["GB-ENG", "GB-WLS"], "section": "1"},
        PROTECTION | {"name_as_listed": "Fictum nemo", "territories": ["GB-SCT"], "since": "1981"},
    ],
    "retired": {
        "F9090": {"was": "Fictum unum", "replaced_by": ["F9001"], "since": "0.2.0", "because": "One and the same"},
        "F9091": {"was": "Fictum duo", "consider": ["F9001", "F9002"], "since": "0.2.0", "because": "Split"},
    },
    "package": {"similarity_threshold": 0.5},
}


def datasets() -> st.SearchStrategy[Dataset]:
    companions = {name: Companion(Page(f"dataset/{name}.yaml"), value) for name, value in BESIDE.items()}
    whole = st.tuples(*(entries(number) for number in range(len(EPITHETS))))
    return whole.map(lambda found: Dataset([Reading(Page(each.file), each) for each in found], companions))


def built(dataset: Dataset) -> Tables:
    beside = dataset.companions
    return build(Facts(checklist_of(dataset), form(), beside["sources"].value, beside["protections"].value))


@settings(max_examples=40, deadline=None)
@given(datasets())
def test_building_what_was_rebuilt_gives_the_same_tables(dataset):
    once = built(dataset)
    again = rebuilt(named(once, form()), form(), BESIDE["package"])
    assert built(again) == once
    assert again.threshold == dataset.threshold


@cache
def sound() -> dict[str, list[dict[str, Any]]]:
    """The rows of the small edition, with what the engine says of it."""
    return {table: [dict(row) for row in rows] for table, rows in named(edition(form()), form()).items()}


CELLS = (
    None,
    "",
    "|",
    "F9002",
    "any",
    "Fictum letale",
    "présent",
    "\x1b[2J",
    0,
    -1,
    7,
    99,
    1e308,
    True,
    date.max,
    ["x"],
)


@st.composite
def spoiled(draw: st.DrawFn) -> dict[str, list[dict[str, Any]]]:
    """The tables of the small edition after a few changes of any kind: a cell, a row, a table."""
    tables = {table: [dict(row) for row in rows] for table, rows in sound().items()}
    for _ in range(draw(st.integers(1, 8))):
        table = draw(st.sampled_from(sorted(each for each in tables if tables[each])))
        row = draw(st.integers(0, len(tables[table]) - 1))
        how = draw(st.sampled_from(["cell", "cell", "cell", "gone", "twice", "column"]))
        column = draw(st.sampled_from(sorted(tables[table][row]) or [""]))
        if how == "cell":
            tables[table][row][column] = draw(st.sampled_from(CELLS))
        elif how == "gone":
            tables[table].pop(row)
        elif how == "twice":
            tables[table].append(dict(tables[table][row]))
        else:
            tables[table][row].pop(column, None)
    return tables


@settings(max_examples=60, deadline=None)
@given(spoiled())
def test_rows_from_anybody_are_judged_and_never_raise(tables):
    content = Content({}, form(), {"name": "fernhollow-data"}, "0.1.0", {"similarity_threshold": 0.5})
    vars(content)["rows"] = tables
    found = again(content, form())
    assert found.complete, found.faults
