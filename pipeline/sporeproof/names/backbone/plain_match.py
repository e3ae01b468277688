"""Settles in one join the names that a plain look-up settles: most of a long list.

A binomial that the index holds letter by letter, alone with its normal form, with the place and the authors that
were asked, can have no rival: what is near it scores 12 points less at least, so its lead is the full bonus. Such
names fall into a few kinds by what agrees. One of each kind goes the whole way of :mod:`.flow`, and all of its kind
get the same answer, so that the rules stand in one place only.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

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
    "aff", "agg", "auct", "clone", "complex", "emend", "forma", "gen", "group", "hybrid", "ined", "non", "nov", "nec",
    "nom", "sect", "sensu", "sp", "spec", "species", "spp", "ssp", "strain", "subsp", "subspec", "var", "virus",
)  # fmt: skip
OTHERWISE = r"auct|sensu|\bnon\b|\bnec\b|s\.\s?l\.|p\.\s?p\.|emend|nom\.|ined|[?/\[\]{}\"]|\bsp\b|hort\."
STATUSES = ("ACCEPTED", "SYNONYM", "AMBIGUOUS_SYNONYM")
RANK_WORDS = ("", "SPECIES", "species", "Species", "SP.", "sp.")
ANSWERED = (
    "outcome", "match_type", "matched_id", "matched_name", "matched_rank", "status", "accepted_id", "accepted_name",
    "confidence", "distance",
)  # fmt: skip
KIND = ("u.status", "u.accepted IS NULL", "u.accepted_rank", "u.accepted_status", "q.authors = ''")


def settle(backbone: Backbone, names: str, into: str) -> None:
    """Make a table of the names of a table that a plain look-up settles, with what each is answered.

    ``names`` has id, name, authorship, rank and the higher taxa as text, nothing as ''. ``into`` gets id and the
    answer's columns.
    """
    connection = backbone.connection
    connection.execute(f"CREATE OR REPLACE TEMP TABLE plain AS {_joined(backbone, names)}")
    kinds = connection.execute("SELECT kind, any_value(plain) FROM plain GROUP BY kind").fetchall()
    answers = [(kind, *_answer(row)) for kind, row in kinds]
    connection.execute(
        "CREATE OR REPLACE TEMP TABLE kinds (kind VARCHAR, outcome VARCHAR, match_type VARCHAR, confidence INTEGER)"
    )
    if answers:
        connection.executemany("INSERT INTO kinds VALUES (?, ?, ?, ?)", answers)
    connection.execute(
        f"CREATE TABLE {into} AS SELECT p.id, k.outcome, k.match_type, p.key AS matched_id, "
        "rtrim(p.canonical || ' ' || p.authorship) AS matched_name, p.rank::VARCHAR AS matched_rank, "
        "p.status::VARCHAR AS status, coalesce(p.accepted, p.key) AS accepted_id, "
        "rtrim(coalesce(p.accepted_canonical, p.canonical) || ' ' || coalesce(p.accepted_authorship, p.authorship)) "
        "AS accepted_name, k.confidence, 0 AS distance FROM plain p JOIN kinds k USING (kind)"
    )


def _joined(backbone: Backbone, names: str) -> str:
    """Return the SQL of the join: each name that is settled, with its usage and its kind."""
    places = ", ".join(f'q."{rank}"' for rank in PLACES)
    same = {rank: f'lower(q."{rank}") = lower(h."{rank}")' for rank in PLACES}
    # A genus may differ, as that of a synonym does; anything else that differs or is missing is looked at closely.
    fits = " AND ".join(f"(q.\"{rank}\" = '' OR {same[rank]})" for rank in PLACES if rank != "genus")
    flags = ", ".join(
        f"CASE WHEN q.\"{rank}\" = '' THEN '-' WHEN {same[rank]} THEN '=' ELSE '#' END" for rank in PLACES
    )
    kind = ", ".join([*(f"coalesce(({each})::VARCHAR, '')" for each in KIND), flags])
    words = ", ".join(f"'{word}'" for word in NO_EPITHET)
    statuses, ranks = (", ".join(f"'{each}'" for each in several) for several in (STATUSES, RANK_WORDS))
    return f"""
        WITH q AS (
            SELECT *, CASE WHEN cited = '' THEN name ELSE cited END AS binomial,
                CASE WHEN cited = '' THEN authorship ELSE substr(name, length(cited) + 2) END AS authors
            FROM (SELECT *, regexp_extract(name, '{CITED}', 1) AS cited FROM {names} WHERE rank IN ({ranks}))
            WHERE regexp_matches(CASE WHEN cited = '' THEN name ELSE cited END, '{BINOMIAL}')
              AND (cited = '' OR authorship = '' OR contains(name, authorship))
        )
        SELECT q.id, q.name, q.authorship AS given_authorship, q.rank AS given_rank, {places}, u.key, u.canonical,
            u.authorship, u.rank, u.status, u.accepted, u.accepted_canonical, u.accepted_authorship, u.accepted_rank,
            u.accepted_status, h.kingdom AS in_kingdom, h.phylum AS in_phylum, h.class AS in_class,
            h."order" AS in_order, h.family AS in_family, h.genus AS in_genus, concat_ws('|', {kind}) AS kind
        FROM q JOIN {backbone.look_up.usages} u ON u.canonical = q.binomial
        LEFT JOIN {backbone.look_up.higher} h ON h.number = u.home
        WHERE u.alone AND u.rank = 'SPECIES' AND u.status IN ({statuses}) AND {fits}
          AND (q."genus" = '' OR h.genus IS NOT NULL)
          AND (q.authors = '' OR (q.authors = u.authorship AND NOT regexp_matches(q.authors, '{OTHERWISE}')))
          AND split_part(q.binomial, ' ', 2) NOT IN ({words})
    """


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
