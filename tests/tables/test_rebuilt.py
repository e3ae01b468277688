"""The tables back to entries: nothing that they hold is lost, and what is no row of ours is left out."""

from __future__ import annotations

from datetime import date

import pytest

from sporeproof.confusion.appearance import appearance_of
from sporeproof.run import checklist_of
from sporeproof.tables.build import Facts, build
from sporeproof.tables.rebuilt import named, rebuilt
from sporeproof.tables.resolve import Checklist
from tests.release.edition import edition

# What the engine says, and what tells of the versions before.
OF_NO_ENTRY = {"proofs", "unexcluded", "notices"}


def built(dataset, form):
    beside = dataset.companions
    return build(Facts(checklist_of(dataset), form, beside["sources"].value, beside["protections"].value))


@pytest.fixture(scope="module")
def real(dataset, form):
    return built(dataset, form)


@pytest.fixture(scope="module")
def back(real, dataset, form):
    return rebuilt(named(real, form), form, dataset.companions["package"].value)


@pytest.fixture
def small(form):
    """The rows of the small edition, to be changed."""
    return {table: [dict(row) for row in rows] for table, rows in named(edition(form), form).items()}


def entry(rows, id, form):
    return checklist_of(rebuilt(rows, form)).by_key[id]


def test_the_real_tables_come_back_cell_by_cell(real, back, form):
    again = built(back, form)
    assert again.keys() == real.keys()
    for table, rows in real.items():
        assert again[table] == rows, table
    assert {table for table, rows in real.items() if not rows} <= OF_NO_ENTRY | {"retired"}


def test_entries_stand_in_the_order_of_their_files_and_look_the_same(dataset, back, form):
    assert [each.file for each in back.entries] == [each.file for each in dataset.entries]
    assert [each.file for each in back.readings] == [each.file for each in dataset.readings]
    for one, other in zip(dataset.entries, back.entries, strict=True):
        looks = [appearance_of(each, form) for each in (one, other)]
        for character in form.characters.values():
            assert looks[0].accepted(character) == looks[1].accepted(character), (one.file, character.id)
            assert looks[0].shown(character) == looks[1].shown(character), (one.file, character.id)


def test_names_lead_where_they_led(dataset, back):
    before, after = checklist_of(dataset), checklist_of(back)
    words = {*before.words(), *(name for each in dataset.entries for _, _, name in each.vernaculars())}
    assert len(words) > len(dataset.entries)
    for word in words:
        assert [each.key for each in before.find(word).entries] == [each.key for each in after.find(word).entries]


def test_an_entry_says_what_a_file_would(small, form):
    """By the shapes of ``schema/entry.yaml``, and no more: the members, limits and excuses are not in the tables."""
    assert entry(small, "F9001", form).value == {
        "id": "F9001",
        "name": "Fictum commune",
        "authorship": "Fern.",
        "rank": "species",
        "family": "Fictaceae",
        "vernacular": {"en": ["Common Fiction"]},
        "former_names": [{"name": "Fictum vulgare", "kind": "former"}],
        "edibility": {
            "verdict": "edible-with-conditions",
            "needs": ["cook-thoroughly", "discard-stems"],
            "cautions": ["deadly-confusion", "raw-upsets"],
            "accept_only": {"stage": ["mature"], "cap-width": [30, 70]},
            "opinions": [{"verdict": "edible-with-conditions", "source": "common-practice"}],
        },
        "uses": ["tinder"],
        "substrate": ["dead-wood"],
        "hosts": {"usual": ["Fagus"]},
        "season": {"from": 11, "to": 2, "peak": [12]},
        "region": "GB",
        "characters": {
            "body": {"is": ["cap-and-stem"], "source": ["from-memory"]},
            "ring": {"is": ["present"], "source": ["common-practice"]},
            "spore-print": {"is": ["rusty-brown"], "source": ["from-memory"]},
            "cap-width": {"is": [30, 70], "source": ["from-memory"]},
        },
        "confusions": [
            {
                "with": "F9002",
                "told_apart_by": ["ring"],
                "hints": ["smell"],
                "note": "Both, in one tuft",
                "source": ["common-practice"],
            }
        ],
        "not_confused_with": [{"with": "F9003", "because": "Another world", "source": ["common-practice"]}],
        "sources": {"setting": ["from-memory"]},
        "review": {"state": "unreviewed"},
    }


def test_what_stands_beside_the_entries_comes_back(small, form):
    small["protections"].append(small["protections"][0] | {"territory": "GB-WLS"})
    small["protections"].append(small["protections"][0] | {"territory": "GB-SCT", "acts": "pick"})
    small["retired"].append({"taxon_id": "F9009", "was": "Fictum unum", "replaced_by": "F9001|F9002", "consider": None,
                             "since": "0.2.0", "reason": "Split"})  # fmt: skip
    found = rebuilt(small, form, {"similarity_threshold": 0.25})
    beside = {name: each.value for name, each in found.companions.items()}
    assert found.threshold == 0.25
    assert beside["sources"]["fern-2001"] == {"kind": "published", "citation": "Fern 2001, invented", "year": 2001}
    assert "from-memory" not in beside["sources"]
    assert [(each["territories"], each["acts"]) for each in beside["protections"]] == [
        (["GB-ENG", "GB-WLS"], ["pick", "sell"]),
        (["GB-SCT"], ["pick"]),
    ]
    assert [each["source"] for each in beside["protections"]] == [["from-memory"]] * 2
    assert beside["retired"] == {
        "F9009": {"was": "Fictum unum", "replaced_by": ["F9001", "F9002"], "since": "0.2.0", "because": "Split"}
    }


@pytest.mark.parametrize(
    ("months", "season"),
    [
        ([5], (5, 5)),
        ([8, 9, 10], (8, 10)),
        ([1, 2, 11, 12], (11, 2)),
        (list(range(1, 13)), (1, 12)),
        ([1, 2, 5, 6], (1, 2)),  # no one stretch, which an entry cannot say: the first of them
        ([13, 0, 5], (5, 5)),
    ],
)
def test_months_are_one_stretch(months, season, small, form):
    row = small["seasons"][0]
    small["seasons"] = [row | {"month": month, "peak": month == 5} for month in months]
    found = entry(small, "F9001", form).value["season"]
    assert (found["from"], found["to"]) == season
    assert found.get("peak", []) == [5] * (5 in months)


def test_what_the_engine_brought_up_is_no_entrys_word(small, form):
    row = small["confusions"][0]
    small["confusions"].append(
        dict.fromkeys(row) | {"taxon_id": "F9005", "with_taxon_id": "F9002", "listed": "computed"}
    )
    small["distinctions"].append(
        {"taxon_id": "F9001", "with_taxon_id": "F9002", "character_id": "body", "claimed": False, "separates": "yes"}
    )
    assert entry(small, "F9005", form).confusions == []
    assert entry(small, "F9001", form).confusions[0]["told_apart_by"] == ["ring"]


def test_two_taxa_of_one_name_are_two_entries(small, form):
    taxon = next(row for row in small["taxa"] if row["taxon_id"] == "F9005")
    small["taxa"].append(taxon | {"taxon_id": "F9006", "authorship": "Other Fern"})
    found = rebuilt(small, form)
    assert len({each.file for each in found.entries}) == len(found.entries) == len(small["taxa"])


def test_cells_that_are_nothing_or_of_another_type_are_left_out(small, form):
    taxon = next(row for row in small["taxa"] if row["taxon_id"] == "F9001")
    taxon.update(authorship=7, family=["Fictaceae"], region=None, reviewed_on=date(2026, 1, 2))
    small["opinions"] = [row | {"verdict": None} for row in small["opinions"]]
    small["measurements"] = [row | {"low": None} for row in small["measurements"]]
    small["taxa"].append(dict.fromkeys(taxon))
    small["unheard"] = [{"of": "this"}]
    found = entry(small, "F9001", form)
    assert found.opinions == []
    assert found.authorship == ""
    assert "cap-width" not in found.characters
    assert not {"family", "region"} & found.value.keys()
    assert found.value["review"] == {"state": "unreviewed", "on": date(2026, 1, 2)}


def test_a_character_of_words_and_numbers_has_its_words(small, form):
    range_ = next(row for row in small["measurements"] if row["taxon_id"] == "F9001")
    small["measurements"].append(range_ | {"character_id": "ring"})
    assert entry(small, "F9001", form).characters["ring"].by_stage == {"any": ("present",)}


def test_no_tables_are_no_entries(form):
    found = rebuilt({}, form)
    assert found.entries == []
    assert Checklist(found.entries).words() == []
    assert found.threshold is None
