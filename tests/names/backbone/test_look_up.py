"""What an index finds near a name is what a comparison with every name finds; and its answers go with the plain way."""

import random

import duckdb
import pytest
from rapidfuzz.distance import OSA

from sporeproof import indexed
from sporeproof.names.backbone.ask import backbone
from sporeproof.names.backbone.plain_match import ANSWERED, answered, settle
from sporeproof.names.matching.alike import edits, edits_allowed, letters
from sporeproof.names.matching.asked import HIGHER, Given, asked_all
from sporeproof.names.matching.flow import Wanted
from sporeproof.names.matching.normal_form import normal_form
from tests.bench.backbone import backbone as invented
from tests.bench.backbone import written

ROWS = 6000
ALPHABET = "abcdefghiklmnopqrstuvxyz"


@pytest.fixture(scope="module")
def held(tmp_path_factory):
    folder = tmp_path_factory.mktemp("backbone")
    written(invented(ROWS, seed=3), folder / "simple.txt")
    indexed.names_index(folder / "simple.txt", folder / "index")
    with backbone(folder / "index") as found:
        yield found


@pytest.fixture(scope="module")
def usages(held):
    return held.connection.execute(
        f"SELECT canonical, authorship, first, rest, kingdom FROM {held.look_up.usages} ORDER BY ALL"
    ).fetchall()


def misspelt(name, chance):
    """Return a name with one or two edits anywhere behind its first letter."""
    for _ in range(chance.choice([1, 1, 2]) if len(name) > 4 else 0):
        at, kind = chance.randrange(1, len(name) - 1), chance.randrange(4)
        letter = chance.choice(ALPHABET)
        name = [
            name[:at] + letter + name[at:],
            name[:at] + name[at + 1 :],
            name[:at] + letter + name[at + 1 :],
            name[:at] + name[at + 1] + name[at] + name[at + 2 :],
        ][kind]
    return name


def test_what_is_near_is_what_a_comparison_with_every_name_finds(held, usages):
    chance = random.Random(5)
    forms = sorted({f"{first} {rest}".strip() for _, _, first, rest, _ in usages})
    asked = sorted({normal_form(misspelt(chance.choice(usages)[0], chance)) for _ in range(150)})
    near = held.look_up._near(asked)
    found = 0
    for one in asked:
        most = edits_allowed(one)
        first, _, rest = one.partition(" ")
        expected = {
            other for other in forms
            if other[0] == one[0] and 0 < OSA.distance(one, other, score_cutoff=most) <= most
            # a blank is found where it stands; a name with its first blank elsewhere is the one thing left out
            and sum(map(OSA.distance, (first, rest), other.partition(" ")[::2])) <= most
        }  # fmt: skip
        assert {other for other, _ in near.get(one, [])} == expected, one
        found += bool(expected)
    assert found > 50


def test_letters_never_rule_out_what_is_near():
    chance = random.Random(7)
    for _ in range(3000):
        one = "".join(chance.choice(ALPHABET[:6]) for _ in range(chance.randrange(5, 12)))
        other = misspelt(one, chance)
        assert (letters(one) ^ letters(other)).bit_count() <= 2 * edits(one, other)


def test_the_index_knows_the_letters_of_each_rest(held):
    rows = held.connection.execute(f"SELECT rest, letters FROM {held.look_up.usages}").fetchall()
    assert all(letters(rest) == there for rest, there in rows)
    assert any(rest.count(" ") for rest, _ in rows)


def test_distances_are_those_of_the_reference(held):
    """The reference is rapidfuzz (optimal string alignment); the database's own, which rules out, is never more."""
    chance = random.Random(11)
    pairs = [(word, misspelt(word, chance)) for word in ("amanita", "phalloides", "kuehneromyces") for _ in range(60)]
    for one, other in pairs:
        assert edits(one, other) == OSA.distance(one, other)
        assert duckdb.execute("SELECT damerau_levenshtein(?, ?)", [one, other]).fetchone()[0] <= edits(one, other)


def asked_for(usages, chance, count):
    """Names as files hold them: with and without author and kingdom, right, wrong and misspelt."""
    kingdoms = sorted({row[4] for row in usages})
    for canonical, authorship, _, _, kingdom in chance.sample(usages, count):
        name = chance.choice([canonical, canonical, canonical, misspelt(canonical, chance)])
        by = chance.choice(["", authorship, authorship, "Nemo"])
        inside = chance.random() < 0.3
        higher = {"kingdom": chance.choice(["", kingdom, kingdom, chance.choice(kingdoms)])}
        yield (f"{name} {by}".strip(), "", chance.choice(["", "species"]), higher) if inside else (name, by, "", higher)


def test_the_plain_way_answers_as_the_long_way(held, usages):
    names = list(dict.fromkeys(map(repr, asked_for(usages, random.Random(13), 1500))))
    rows = [eval(each) for each in names]  # noqa: S307
    connection = held.connection
    columns = ", ".join(f'"{each}" VARCHAR' for each in ("name", "authorship", "rank", *HIGHER))
    connection.execute(f"CREATE OR REPLACE TABLE asked_names (id BIGINT, {columns})")
    values = [
        (at, name, by, rank, *(higher.get(each, "") for each in HIGHER))
        for at, (name, by, rank, higher) in enumerate(rows)
    ]
    connection.executemany(f"INSERT INTO asked_names VALUES ({', '.join('?' * (4 + len(HIGHER)))})", values)
    settle(held, "asked_names", "plainly")
    plain = {row[0]: row[1:] for row in connection.execute("SELECT * FROM plainly").fetchall()}
    assert 300 < len(plain) < len(rows)
    asked = asked_all(Given(*row) for row in rows)
    for at, (one, match) in enumerate(zip(asked, held.matches(asked), strict=True)):
        if at in plain:
            assert dict(zip(ANSWERED, plain[at], strict=True)) == dict(
                zip(ANSWERED, answered(one, match), strict=True)
            ), rows[at]


def test_candidates_come_the_nearest_first(held, usages):
    name = next(row[0] for row in usages if row[0].count(" ") == 1 and len(row[0]) > 20)
    (found,) = held.look_up([Wanted(normal_form(name), fuzzy=True)])
    assert found[0].usage.canonical == name
    assert [each.distance for each in found] == sorted(each.distance for each in found)


def test_a_candidate_is_weighed_once(held, usages):
    """A genus with one edit is found by its neighbours and by the epithet; weighed twice it would lose its lead."""
    names = [row[0] for row in usages if row[0].count(" ") == 1 and len(row[0]) > 18][:200]
    wrong = [f"{name[:4]}q{name[4:]}" for name in names]
    for found in held.look_up([Wanted(normal_form(name), fuzzy=True) for name in wrong]):
        assert found
        assert len(found) == len({each.usage.key for each in found})
