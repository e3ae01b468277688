"""One change of each kind: it raises the right part of the version and stands in the right part of the news."""

from __future__ import annotations

import copy

import pytest

from sporeproof.findings import SAFETY_NOTE
from sporeproof.form.load import load_form
from sporeproof.release.changes import Change, changes
from sporeproof.release.contract import contract_changes
from sporeproof.release.contract import published as published_schema
from sporeproof.release.editions import Editions
from sporeproof.release.news import news
from sporeproof.release.read import Package, read_package
from sporeproof.release.strictness import Kind
from sporeproof.release.version import PARTS, Version, next_version
from sporeproof.tables.faults import frames
from tests.conftest import ROOT
from tests.release.edition import Edition, edition, published

FORM = load_form(ROOT / "schema")
RELY, WITHDRAWN, ENTRIES, NAMES, OTHER = (
    "Safety: read this before you rely on the data",
    "Withdrawn",
    "New",
    "Names",
    "Changed",
)
MAJOR, MINOR, PATCH = "1.0.0", "0.2.0", "0.1.1"


@pytest.fixture(scope="module")
def first(tmp_path_factory) -> Package:
    return read_package(published(FORM, tmp_path_factory.mktemp("first")).folder)


def parts(news: str) -> dict[str, list[str]]:
    """The lines of the news by the title of their part, without the count."""
    found: dict[str, list[str]] = {"": []}
    for line in news.splitlines():
        title = line.removeprefix("## ").partition(" (")[0] if line.startswith("## ") else ""
        if title:
            found[title] = []
        elif line:
            found[list(found)[-1]].append(line.removeprefix("- "))
    return found


def edible(e: Edition, id: str) -> dict:
    return e.entries[id]["edibility"]


def verdict(id: str, word: str):
    return lambda e: edible(e, id).update(
        verdict=word, opinions=[{"verdict": word, "source": "fern-2001"}], needs=edible(e, id).get("needs", [])
    )


def drop(mapping, key):
    del mapping[key]


def new_entry(e: Edition) -> None:
    e.entries["F9006"] = {
        "id": "F9006",
        "name": "Fictum novum",
        "rank": "species",
        "edibility": {"verdict": "deadly", "opinions": [{"verdict": "deadly", "source": "from-memory"}]},
        "characters": {"ring": "present"},
        "confusions": [{"with": "Fictum commune"}],
        "review": {"state": "unreviewed"},
    }


def renamed(e: Edition) -> None:
    e.entries["F9004"].update(name="Aliud vetus", former_names=["Fictum vetus"])


def computed(listed: str):
    """A pair that only the comparison would list, or somebody dismissed."""

    def change(e: Edition) -> None:
        rows = edition(FORM)["confusions"]
        e.rows["confusions"] = [*rows, ("F9005", "F9002", listed, None, None, None, None, None, None)]

    return change


def replaced(table: str, column: int, value: object, row: int = 0):
    """Another value in one cell of a built table."""

    def change(e: Edition) -> None:
        rows = edition(FORM)[table]
        cells = list(rows[row])
        cells[column] = value
        e.rows[table] = [*rows[:row], tuple(cells), *rows[row + 1 :]]

    return change


def rows(table: str, *more: tuple):
    return lambda e: e.rows.update({table: [*edition(FORM)[table], *more]})


CASES = {
    # what gets milder or loses its meaning: major, and first
    "a milder verdict": (
        verdict("F9004", "disputed"), MAJOR, RELY,
        "Milder: F9004 Fictum vetus: the verdict was Poisonous, is now Disputed (source: fern-2001)",
    ),
    "a severity that goes": (
        lambda e: drop(edible(e, "F9003"), "severity"), MAJOR, RELY,
        "Milder: F9003 Fictum dubium: harm beyond what its syndromes suggest was Severe, is now not"
        " recorded (source: from-memory)",
    ),
    "a need that goes": (
        lambda e: edible(e, "F9001")["needs"].pop(), MAJOR, RELY,
        "Milder: F9001 Fictum commune: preparation that is no longer asked for: Leave out the stems"
        " (source: common-practice)",
    ),
    "a caution that goes": (
        lambda e: edible(e, "F9001")["cautions"].pop(), MAJOR, RELY,
        "Milder: F9001 Fictum commune: caution that is no longer given: Upsets people when raw (source:"
        " common-practice)",
    ),
    "a confusion that goes": (
        lambda e: e.entries["F9002"]["confusions"].clear(), MAJOR, RELY,
        "Milder: F9001 Fictum commune: the pair with F9002 Fictum letale (Deadly) has gone from the list of"
        " F9002 (source: fern-2001)",
    ),
    "a confusion that is dismissed": (
        lambda e: e.entries["F9002"].update(
            confusions=[],
            not_confused_with=[{"with": "Fictum commune", "because": "Ringless", "source": "fern-2001"}],
        ),
        MAJOR, RELY,
        "Milder: F9001 Fictum commune: the pair with F9002 Fictum letale (Deadly) was Authored, is now"
        " Dismissed (source: fern-2001)",
    ),
    "a protection that goes": (
        lambda e: e.protections.clear(), MAJOR, RELY,
        "Milder: F9003 Fictum dubium: protection that is no longer recorded: The Fernhollow Act, as Fictum"
        " dubium, England: Pick, Sell (source: from-memory)",
    ),
    "an act that is forbidden no more": (
        lambda e: e.protections[0]["acts"].pop(), MAJOR, RELY,
        "Milder: F9003 Fictum dubium: The Fernhollow Act, as Fictum dubium, England: what is forbidden was"
        " Pick, Sell, is now Pick (source: from-memory)",
    ),
    "a condition that is widened": (
        lambda e: edible(e, "F9001")["accept_only"]["stage"].append("old"), MAJOR, RELY,
        "Milder: F9001 Fictum commune: now also covers specimens with this, Stage: old (source: common-practice)",
    ),
    "a condition that goes altogether": (
        lambda e: drop(edible(e, "F9001")["accept_only"], "stage"), MAJOR, RELY,
        "Milder: F9001 Fictum commune: no longer asks for this, so that any specimen is covered, Stage:"
        " mature (source: common-practice)",
    ),
    "a range that is widened": (
        lambda e: edible(e, "F9001")["accept_only"].update({"cap-width": [20, 70]}), MAJOR, RELY,
        "Milder: F9001 Fictum commune: Width of the cap or of the whole fruitbody: the smallest that is"
        " covered was 30 mm, is now 20 mm (source: common-practice)",
    ),
    "an entry merged into a milder one": (
        lambda e: e.retire("F9004", replaced_by=["F9005"]), MAJOR, RELY,
        "Milder: F9004 Fictum vetus: the id has ended; take instead F9005 Fictum bonum; the verdict was"
        " Poisonous and is now Edible (because: One and the same)",
    ),
    "a word of a vocabulary that bears another flag": (
        replaced("terms", 4, "something"), MAJOR, RELY,
        "terms: acts, destroy: flags was not recorded, is now something",
    ),
    # milder, but no person's decision: first as well, yet minor
    "a computed pair that is dismissed": (
        computed("dismissed"), MINOR, RELY,
        "Milder: F9005 Fictum bonum: held to be told apart from F9002 Fictum letale (Deadly) (source:"
        " from-memory)",
    ),
    "a syndrome that goes": (
        lambda e: edible(e, "F9002")["syndromes"].clear(), MINOR, RELY,
        "Milder: F9002 Fictum letale: syndrome that is no longer listed: Liver damage by amatoxins (source:"
        " fern-2001)",
    ),
    "a grade where there was none": (
        replaced("taxa", 12, "beginner"), MINOR, RELY,
        "Milder: F9001 Fictum commune: the skill that its proof asks for was not recorded, is now Beginner"
        " (source: common-practice)",
    ),
    "an onset said to come earlier at the latest": (
        replaced("onsets", 3, 99.0), MINOR, RELY,
        "Milder: onsets: Muscarine poisoning, First signs: the earliest hour was 0.25, is now 99 (no source"
        " says so)",
    ),
    # stricter: minor, and to be read
    "a stricter verdict": (
        verdict("F9005", "disputed"), MINOR, RELY,
        "Stricter: F9005 Fictum bonum: the verdict was Edible, is now Disputed",
    ),
    "a need more": (
        lambda e: edible(e, "F9001")["needs"].append("discard-pores"), MINOR, RELY,
        "Stricter: F9001 Fictum commune: must now be prepared so: Leave out the pores",
    ),
    "a caution more": (
        lambda e: edible(e, "F9001")["cautions"].append("not-for-beginners"), MINOR, RELY,
        "Stricter: F9001 Fictum commune: new caution: Not for beginners",
    ),
    "a condition where there was none": (
        lambda e: edible(e, "F9001")["accept_only"].update(ring=["present"]), MINOR, RELY,
        "Stricter: F9001 Fictum commune: from now on covers no other specimens than those with this, Ring"
        " on the stem: present",
    ),
    "a range that is narrowed": (
        lambda e: edible(e, "F9001")["accept_only"].update({"cap-width": [30, 60]}), MINOR, RELY,
        "Stricter: F9001 Fictum commune: Width of the cap or of the whole fruitbody: the largest that is"
        " covered was 70 mm, is now 60 mm",
    ),
    "an act more that is forbidden": (
        lambda e: e.protections[0]["acts"].append("possess"), MINOR, RELY,
        "Stricter: F9003 Fictum dubium: The Fernhollow Act, as Fictum dubium, England: what is forbidden"
        " was Pick, Sell, is now Pick, Sell, Possess",
    ),
    "an entry split into milder ones": (
        lambda e: e.retire("F9004", consider=["F9003", "F9005"]), MAJOR, RELY,
        "Milder: F9004 Fictum vetus: the id has ended; the most cautious verdict holds until somebody has"
        " chosen among F9003 Fictum dubium, F9005 Fictum bonum; the verdict was Poisonous and is now"
        " Disputed (because: One and the same)",
    ),
    "an entry merged into a stricter one": (
        lambda e: e.retire("F9005", replaced_by=["F9002"]), MINOR, RELY,
        "Stricter: F9005 Fictum bonum: the id has ended; take instead F9002 Fictum letale; the verdict was"
        " Edible and is now Deadly",
    ),
    "an entry withdrawn": (lambda e: e.retire("F9005"), MINOR, WITHDRAWN,
        "F9005 Fictum bonum: withdrawn; no other entry stands in its place"),
    # new dangers
    "a confusion more": (
        lambda e: e.entries["F9001"]["confusions"].append({"with": "Fictum vetus"}), MINOR, RELY,
        "New danger: F9001 Fictum commune: can be taken for F9004 Fictum vetus (Poisonous)",
    ),
    "a computed pair": (
        computed("computed"), MINOR, RELY,
        "New danger: F9005 Fictum bonum: can be taken for F9002 Fictum letale (Deadly)",
    ),
    "a new entry that takes an old one for itself": (
        new_entry, MINOR, RELY, "New danger: F9001 Fictum commune: can be taken for F9006 Fictum novum (Deadly)",
    ),
    "a suspect that the proof does not rule out": (
        rows("unexcluded", ("F9001", "field", "F9002", 2, 1)), MINOR, RELY,
        "New danger: F9001 Fictum commune: at the level Field, its proof does not rule out F9002 Fictum"
        " letale (Deadly)",
    ),
    # the rest
    "a new entry": (new_entry, MINOR, ENTRIES, "F9006 Fictum novum: new entry, Deadly"),
    "a rename": (renamed, MINOR, NAMES, "F9004 Aliud vetus: was called Fictum vetus before"),
    "a former name more": (
        lambda e: e.entries["F9004"].update(former_names=["Fictum antiquum"]), MINOR, NAMES,
        "F9004 Fictum vetus: now also found as Fictum antiquum, Former",
    ),
    "a vernacular name": (
        lambda e: e.entries["F9004"].update(vernacular={"en": ["Old Fiction"]}), MINOR, NAMES,
        "F9004 Fictum vetus: vernacular name added: en, Old Fiction",
    ),
    "a character": (
        lambda e: e.entries["F9004"].update(characters={"ring": "absent"}), MINOR, OTHER,
        "F9004 Fictum vetus: characters (1)",
    ),
    "a measurement": (
        lambda e: e.entries["F9001"]["characters"].update({"cap-width": [30, 80]}), MINOR, OTHER,
        "F9001 Fictum commune: measurements (1)",
    ),
    "a season": (
        lambda e: e.entries["F9001"]["season"].update(to=3), MINOR, OTHER, "F9001 Fictum commune: seasons (1)",
    ),
    "a host": (
        lambda e: e.entries["F9001"]["hosts"]["usual"].append("Quercus"), MINOR, OTHER,
        "F9001 Fictum commune: settings (1)",
    ),
    "a claim": (
        lambda e: e.confused("F9001")["told_apart_by"].append("spore-print"), MINOR, OTHER,
        "F9001 Fictum commune: distinctions (1)",
    ),
    "an opinion": (
        lambda e: edible(e, "F9004")["opinions"].append({"verdict": "disputed", "source": "fern-2001"}),
        MINOR, OTHER, "F9004 Fictum vetus: opinions (1)",
    ),
    "a family": (
        lambda e: e.entries["F9004"].update(family="Fictaceae"), MINOR, OTHER,
        "F9004 Fictum vetus: the family was not recorded, is now Fictaceae",
    ),
    "words": (lambda e: e.confused("F9001").update(note="Both share one tuft"), PATCH, OTHER, "Only words: 1"),
    "a hint": (lambda e: e.confused("F9001").update(hints=["smell", "ring"]), PATCH, OTHER, "Only words: 1"),
    "a source": (
        lambda e: e.confused("F9001").update(source=["from-memory"]), PATCH, OTHER, "Only sources: 1",
    ),
    "a citation": (
        lambda e: e.sources["fern-2001"].update(citation="Fern 2001"), PATCH, OTHER, "Only sources: 1",
    ),
}  # fmt: skip


@pytest.mark.parametrize("case", CASES)
def test_one_change_of_each_kind_finds_its_part(case, first):
    """In its part of the news; and the first part holds nothing else where only names and values changed."""
    change, version, part, line = CASES[case]
    number, text = told(first, change)
    found = parts(text)
    assert any(line in each for each in found.get(part, [])), text
    assert number.number == version, number.because
    if part in {NAMES, OTHER}:
        assert [each for each in found[RELY] if "memory alone" not in each] == []


def told(before: Package, change) -> tuple[Version, str]:
    """The version and the news of an edition after one change."""
    made = frames(edition(FORM, change), FORM)
    schemas = {name: published_schema(schema) for name, schema in FORM.tables.items()}
    found = changes(Editions(before.frames, made, FORM)) + contract_changes(before.schemas, schemas)
    number = next_version(before.version, found)
    return number, news(number, before.version, found, made, FORM)


def test_every_kind_of_change_is_tried_and_every_column_has_one():
    kinds = {each["change"] for schema in FORM.tables.values() for each in schema["fields"] if _is_kind(each)}
    kinds |= {
        schema["change"][key]
        for schema in FORM.tables.values()
        if not schema["change"].get("history")
        for key in ("new", "gone")
    }
    assert kinds <= set(Kind)


def _is_kind(field: dict) -> bool:
    return isinstance(field.get("change"), str)


def test_an_order_of_strictness_holds_every_word_that_its_column_takes():
    for schema in FORM.tables.values():
        for field in schema["fields"]:
            order = field.get("change", {}).get("strictest") if isinstance(field.get("change"), dict) else None
            if isinstance(order, list):
                assert sorted(order) == sorted([*field["constraints"]["enum"], ""]), field["name"]


def test_a_link_to_a_merged_entry_is_no_lost_confusion(tmp_path):
    """The pair lives on under the id that took the other's place, so nothing got milder."""
    with_vetus = {"with": "Fictum vetus"}
    before = published(FORM, tmp_path, lambda e: e.entries["F9001"]["confusions"].append(with_vetus))

    def merged(e: Edition) -> None:
        e.retire("F9004", replaced_by=["F9002"])

    _, text = told(read_package(before.folder), merged)
    assert not [line for line in parts(text)[RELY] if line.startswith("Milder")], text
    assert any(
        "F9004 Fictum vetus: the id has ended; take instead F9002 Fictum letale" in each for each in parts(text)[RELY]
    )


def test_an_authored_pair_that_a_merger_turns_into_a_dismissed_one_is_milder(first):
    def merged(e: Edition) -> None:
        e.retire("F9002", replaced_by=["F9003"])
        e.entries["F9001"]["confusions"].clear()

    lines = parts(told(first, merged)[1])[RELY]
    assert any("with F9003 Fictum dubium (Disputed) was Authored, is now Dismissed" in each for each in lines), lines


def test_milder_news_stands_before_stricter_news(first):
    def both(e: Edition) -> None:
        edible(e, "F9001")["needs"] = ["cook-thoroughly", "peel-skin"]

    lines = parts(told(first, both)[1])[RELY]
    assert [each.partition(":")[0] for each in lines[:2]] == ["Milder", "Stricter"]


def test_edible_verdicts_on_memory_alone_are_marked_and_counted(tmp_path):
    made = published(FORM, tmp_path)
    assert "F9005 Fictum bonum: edible on memory alone, looked up by nobody yet" in parts(made.news)[RELY]
    assert "1 edible on memory alone" in made.news.split("\n\n")[2]
    assert made.on_memory == 1


def test_the_first_version_says_so_and_lists_its_entries(tmp_path):
    made = published(FORM, tmp_path)
    assert made.version == "0.1.0"
    assert made.news.startswith(f"# 0.1.0, the first\n\n> {SAFETY_NOTE}\n\nBriefly: first, 5 entries")
    assert "F9002 Fictum letale: new entry, Deadly" in parts(made.news)[ENTRIES]


def test_the_change_that_calls_for_the_number_is_named(first):
    def two(e: Edition) -> None:
        edible(e, "F9001")["needs"].pop()
        e.entries["F9004"].update(family="Fictaceae")

    number, text = told(first, two)
    assert number.because.startswith(
        "F9001 Fictum commune: preparation that is no longer asked for: Leave out the stems"
    )
    assert f"A major version, because: {number.because}" in text


def test_the_same_two_editions_give_the_same_news(tmp_path):
    def many(e: Edition) -> None:
        for name in ("a need that goes", "a confusion more", "a rename", "a season", "words", "a citation"):
            CASES[name][0](e)

    first = published(FORM, tmp_path / "first")
    one = published(FORM, tmp_path / "one", many, first.folder)
    two = published(FORM, tmp_path / "two", many, first.folder)
    assert one.news == two.news
    assert one.news.encode() == (one.folder / "news.md").read_bytes()


def test_the_news_counts_what_the_version_holds(tmp_path):
    held = published(FORM, tmp_path).news.partition("## What it holds, counted\n")[2]
    assert "| deadly | 1 |\n" in held
    assert "| inedible | 0 |\n" in held
    assert "| unreviewed | 5 |\n" in held


# What is promised to programs


def altered(table: str, change) -> list[str]:
    """What is said, with its weight, of a table schema that is changed."""
    old = {name: published_schema(schema) for name, schema in FORM.tables.items()}
    new = copy.deepcopy(old)
    change(new[table] if table else new)
    return [f"{PARTS[each.weight]} {each.line}" for each in contract_changes(old, new)]


def at(name: str):
    return lambda schema: next(each for each in schema["fields"] if each["name"] == name)


@pytest.mark.parametrize(
    ("table", "change", "said"),
    [
        ("", lambda all_: all_.pop("uses"), "major uses: the table is gone"),
        ("", lambda all_: all_.update(more=all_["uses"]), "minor more: the table is new"),
        ("taxa", lambda s: s["fields"].pop(), "major taxa: the column grade_reason is gone"),
        ("taxa", lambda s: s["fields"].append({"name": "x", "type": "string"}), "minor taxa: the column x is new"),
        ("taxa", lambda s: s["fields"].reverse(), "major taxa: the columns stand in another order"),
        ("needs", lambda s: s.update(primaryKey=["taxon_id"]), "major needs: primaryKey is another one"),
        (
            "seasons",
            lambda s: at("month")(s).update(type="string"),
            "major seasons: the column month holds other values than before",
        ),
        (
            "taxa",
            lambda s: at("verdict")(s)["constraints"]["enum"].append("x"),
            "minor taxa: the column verdict takes other words or forms",
        ),
        (
            "taxa",
            lambda s: at("verdict")(s).update(description="x"),
            "patch taxa: the column verdict is described in other words",
        ),
    ],
)
def test_what_programs_rely_on_is_promised(table, change, said):
    assert altered(table, change) == [said]


@pytest.mark.parametrize(
    ("weights", "number"),
    [([], "1.2.3"), ([2], "1.2.4"), ([1, 2], "1.3.0"), ([2, 0, 1], "2.0.0")],
)
def test_the_gravest_change_decides_the_number(weights, number):
    kinds = {0: Kind.MILDER, 1: Kind.VALUES, 2: Kind.WORDS}
    found = [Change(kinds[each], "taxa", "", str(each)) for each in weights]
    assert next_version("1.2.3", found).number == number
