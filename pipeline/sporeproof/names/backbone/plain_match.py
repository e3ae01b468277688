"""Settles in one join the names that a plain look-up settles: most of a long list.

A binomial that the index holds letter by letter, alone with its normal form, with the place and the authors that
were asked, can have no rival: what is near it scores 12 points less at least, so its lead is the full bonus. Such
names fall into a few kinds by what agrees. One of each kind goes the whole way of :mod:`.flow`, and all of its kind
get the same answer, so that the rules stand in one place only.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from sporeproof.names.backbone.building import USAGE
from sporeproof.names.backbone.sql import literal, quoted
from sporeproof.names.matching.asked import Asked, Given, asked_all
from sporeproof.names.matching.flow import chosen
from sporeproof.names.matching.normal_form import normal_form
from sporeproof.names.matching.score import BY_PLACE, FUZZY, Candidate
from sporeproof.names.matching.usage import HIGHERRANK, Match, Taxon, Usage
from sporeproof.names.verdict import judged

if TYPE_CHECKING:
    from sporeproof.names.backbone.ask import Backbone

PLACES = tuple(rank.lower() for rank in BY_PLACE)
BINOMIAL = "^[A-Z][a-z]{2,} [a-z]{3,}$"
CITED = r"^([A-Z][a-z]{2,} [a-z]{3,}) ([A-Z(].*)$"
# Words that the parser does not read as an epithet, and what in a citation says that a name is meant otherwise.
NO_EPITHET = (
    "aff", "agg", "auct", "clone", "complex", "cult", "cultivar", "emend", "forma", "gen", "group", "hybrid", "indet",
    "ined", "juv", "morph", "nec", "nom", "non", "nov", "sect", "sensu", "ser", "sp", "spec", "species", "spp", "ssp",
    "strain", "subsp", "subspec", "var", "virus",
)  # fmt: skip
OTHERWISE = r"auct|sensu|\bnon\b|\bnec\b|s\.\s?l\.|p\.\s?p\.|emend|nom\.|ined|[?/\[\]{}\"]|\bsp\b|hort\."
STATUSES = ("ACCEPTED", "SYNONYM", "AMBIGUOUS_SYNONYM")
RANK_WORDS = ("", "SPECIES", "species", "Species", "SP.", "sp.")
ANSWERED = (
    "outcome", "match_type", "matched_id", "matched_name", "matched_rank", "status", "accepted_id", "accepted_name",
    "confidence", "distance",
)  # fmt: skip
OF_USAGE = ("key", "canonical", "authorship", "rank", "status", "accepted", *(f"accepted_{each}" for each in USAGE[1:]))


def settle(backbone: Backbone, names: str, into: str) -> None:
    """Make a view of the names of a table that a plain look-up settles, with what each is answered.

    ``names`` has id, name, authorship, rank and the higher taxa as text, nothing as ''. ``into`` gets id and the
    answer's columns. What both need is made once, and put together where it is read.
    """
    connection = backbone.connection
    told = _told_places(backbone, names)
    connection.execute(f"CREATE OR REPLACE TABLE plain AS {_joined(backbone, names, told)}")
    firsts = [id for (id,) in connection.execute("SELECT min(id) FROM plain GROUP BY kind").fetchall()]
    connection.execute(
        "CREATE OR REPLACE TABLE kinds (kind UBIGINT, outcome VARCHAR, match_type VARCHAR, confidence INTEGER)"
    )
    if answers := [(row["kind"], *_answer(row)) for row in _whole(backbone, names, firsts)]:
        connection.executemany("INSERT INTO kinds VALUES (?, ?, ?, ?)", answers)
    connection.execute(
        f"CREATE OR REPLACE VIEW {into} AS SELECT p.id, k.outcome, k.match_type, p.key AS matched_id, "
        "rtrim(p.canonical || ' ' || p.authorship) AS matched_name, p.rank::VARCHAR AS matched_rank, "
        "p.status::VARCHAR AS status, coalesce(p.accepted, p.key) AS accepted_id, "
        "rtrim(coalesce(p.accepted_canonical, p.canonical) || ' ' || coalesce(p.accepted_authorship, p.authorship)) "
        "AS accepted_name, k.confidence, 0 AS distance FROM plain p JOIN kinds k USING (kind)"
    )


def _told_places(backbone: Backbone, names: str) -> list[str]:
    """Return the ranks of a classification that any name tells: only they have to be compared."""
    asked = ", ".join(f"coalesce(bool_or({quoted(rank)} <> ''), false)" for rank in PLACES)
    found = backbone.connection.execute(f"SELECT {asked} FROM {names}").fetchone() or ()
    return [rank for rank, is_told in zip(PLACES, found, strict=True) if is_told]


def _joined(backbone: Backbone, names: str, told: list[str]) -> str:
    """Return the SQL of the join: each name that is settled, with its usage and its kind."""
    # The kingdom stands beside each usage; for the others its place has to be looked up.
    there = {rank: f"{'u' if told == ['kingdom'] else 'h'}.{quoted(rank)}" for rank in told}
    same = {rank: f"lower(q.{quoted(rank)}) = lower({there[rank]})" for rank in told}
    # A genus may differ, as that of a synonym does; anything else that differs or is missing is looked at closely.
    fits = [
        f"(q.{quoted(rank)} = '' OR {there[rank] + ' IS NOT NULL' if rank == 'genus' else same[rank]})" for rank in told
    ]
    flags = [f"CASE WHEN q.{quoted(rank)} = '' THEN 0 WHEN {same[rank]} THEN 1 ELSE 2 END" for rank in told]
    kind = ", ".join(
        ["u.status", "u.accepted IS NULL", "u.accepted_rank", "u.accepted_status", "q.authors = ''", *flags]
    )
    place = "" if told in ([], ["kingdom"]) else f"LEFT JOIN {backbone.look_up.higher} h ON h.number = u.home"
    words, statuses, ranks = (", ".join(map(literal, each)) for each in (NO_EPITHET, STATUSES, RANK_WORDS))
    return f"""
        SELECT q.id, hash({kind}) AS kind, {", ".join(f"u.{each}" for each in OF_USAGE)}, u.home
        FROM (
            SELECT *, CASE WHEN cited = '' THEN name ELSE cited END AS binomial,
                CASE WHEN cited = '' THEN authorship ELSE substr(name, length(cited) + 2) END AS authors
            FROM (
                SELECT *, CASE WHEN regexp_matches(name, '{BINOMIAL}') THEN ''
                    ELSE coalesce(nullif(regexp_extract(name, '{CITED}', 1), ''), '-') END AS cited
                FROM {names} WHERE rank IN ({ranks})
            )
            WHERE cited <> '-' AND (cited = '' OR authorship = '' OR contains(name, authorship))
        ) q JOIN {backbone.look_up.usages} u ON u.canonical = q.binomial {place}
        WHERE u.alone AND u.rank = 'SPECIES' AND u.status IN ({statuses}) AND {" AND ".join(["true", *fits])}
          AND (q.authors = '' OR (q.authors = u.authorship AND NOT regexp_matches(q.authors, '{OTHERWISE}')))
          AND split_part(q.binomial, ' ', 2) NOT IN ({words})
    """


def _whole(backbone: Backbone, names: str, ids: list[int]) -> list[dict[str, Any]]:
    """Return some settled names whole: what was asked, the usage, and its place."""
    if not ids:
        return []
    asked = ", ".join(f"q.{quoted(rank)}, h.{quoted(rank)} AS in_{rank}" for rank in PLACES)
    found = backbone.connection.execute(
        f"SELECT p.*, q.name, q.authorship AS given_authorship, q.rank AS given_rank, {asked} FROM plain p "
        f"JOIN {names} q USING (id) LEFT JOIN {backbone.look_up.higher} h ON h.number = p.home "
        f"WHERE p.id IN ({', '.join(map(str, ids))})"
    )
    columns = [each[0] for each in found.description or ()]
    return [dict(zip(columns, row, strict=True)) for row in found.fetchall()]


def _answer(row: dict[str, Any]) -> tuple[str, str, int | None]:
    """Return outcome, match type and confidence of one name of a kind, by the way that every other name goes."""
    given = Given(row["name"], row["given_authorship"], row["given_rank"], {rank: row[rank] for rank in PLACES})
    (asked,) = asked_all([given])
    candidate = _candidate(row)
    match = chosen(asked, normal_form(asked.canonical), [candidate], FUZZY)
    return judged(asked, match).outcome, match.match_type, match.confidence


def _candidate(row: dict[str, Any]) -> Candidate:
    usage = Usage(row["key"], row["canonical"], row["authorship"], row["rank"], row["status"])
    accepted = None
    if row["accepted"] is not None:
        accepted = Usage(
            row["accepted"], *(row[f"accepted_{each}"] for each in ("canonical", "authorship", "rank", "status"))
        )
    line = tuple(Taxon("", name, rank.upper()) for rank in PLACES if (name := row[f"in_{rank}"]))
    return Candidate(usage, normal_form(usage.canonical), accepted, line)


def answered(asked: Asked, match: Match) -> tuple[Any, ...]:
    """Return the answer's columns for one name."""
    usage, taxon = match.usage, match.taxon
    if usage is None or taxon is None:
        return (judged(asked, match).outcome, match.match_type, *[None] * 6, match.confidence, None)
    distance = None if match.match_type == HIGHERRANK else match.distance
    return (
        judged(asked, match).outcome, match.match_type, usage.key, usage.whole, usage.rank, usage.status, taxon.key,
        taxon.whole, match.confidence, distance,
    )  # fmt: skip
