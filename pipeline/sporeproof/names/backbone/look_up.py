"""Asks an index: for usages by normal form, near a normal form, and for the place of a usage.

Many names are looked up together, since the index is read once for all of them. Names near another are found word
by word: a name within two edits of another either shares its first word, or shares the rest, or differs by one
edit in each. What is found so is measured, and nothing within the allowed edits is left out, but for names whose
first blank is misplaced.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, Any

from sporeproof.names.backbone.building import DEEPEST, FIRSTS, HIGHER, USAGES
from sporeproof.names.backbone.sql import literal, unmistakable
from sporeproof.names.matching.alike import edits, edits_allowed, letters
from sporeproof.names.matching.flow import MOST_CANDIDATES, Wanted
from sporeproof.names.matching.score import Candidate
from sporeproof.names.matching.usage import Taxon, Usage

if TYPE_CHECKING:
    from duckdb import DuckDBPyConnection

COLUMNS = (
    "key", "canonical", "authorship", "rank", "status", "first", "rest", "home", "species", "accepted",
    "accepted_canonical", "accepted_authorship", "accepted_rank", "accepted_status",
)  # fmt: skip


# A name within two edits: in its rest, in its first word, or one in each. Most names are ruled out by the number of
# their letters, which is cheap to compare; the first letter never differs.
APART = "abs(length({one}) - length({other})) <= {most} AND damerau_levenshtein({one}, {other}) <= {most}"
IN_REST = APART.format(one="a.rest", other="u.rest", most="a.most")
IN_FIRST = APART.format(one="a.first", other="u.first", most="a.most")
NEAR = f"""
SELECT DISTINCT a.first, a.rest, u.first, u.rest FROM asked a JOIN {{usages}} u ON u.first = a.first
WHERE a.rest <> '' AND u.rest <> '' AND bit_count(xor(a.letters, u.letters)) <= 2 * a.most AND {IN_REST}
UNION
SELECT DISTINCT a.first, a.rest, u.first, u.rest FROM asked a JOIN {{usages}} u
ON u.rest = a.rest AND u.first[1] = a.first[1]
WHERE u.first <> a.first AND {IN_FIRST}
UNION
SELECT DISTINCT a.first, a.rest, u.first, u.rest
FROM asked a JOIN neighbours n ON n.first = a.first JOIN {{usages}} u ON u.first = n.other
WHERE a.most > 1 AND a.rest <> '' AND u.rest <> '' AND bit_count(xor(a.letters, u.letters)) <= 2
AND {APART.format(one="a.rest", other="u.rest", most="1")}
"""
NEIGHBOURS = """
CREATE OR REPLACE TEMP TABLE neighbours AS
WITH one AS (SELECT DISTINCT first FROM asked WHERE most > 1 AND rest <> ''),
variants AS (
    SELECT first, first AS variant FROM one
    UNION SELECT first, left(first, gap - 1) || substr(first, gap + 1)
    FROM (SELECT first, unnest(range(1, length(first) + 1)) AS gap FROM one)
),
pairs AS (SELECT DISTINCT v.first, f.first AS other FROM variants v JOIN {firsts} f USING (variant))
SELECT first, other FROM pairs WHERE first <> other AND first[1] = other[1] AND
""" + APART.format(one="first", other="other", most="1")


class LookUp:
    """An index opened for questions."""

    def __init__(self, folder: Path, connection: DuckDBPyConnection) -> None:
        self.connection = connection
        # What the folder is called says nothing of its tables, and is no pattern.
        place = unmistakable(folder)
        self.usages, self.higher, self.firsts = (
            f"read_parquet({literal(f'{place}/{each}.parquet')}, hive_partitioning=false)"
            for each in (f"{USAGES}-*", HIGHER, FIRSTS)
        )
        self._higher_file = folder / f"{HIGHER}.parquet"

    def __call__(self, wanted: list[Wanted]) -> list[list[Candidate]]:
        """Return the candidates of each question, the nearest first, at most as many as are weighed."""
        near = self._near([each.normal for each in wanted if each.fuzzy])
        forms = {each.normal for each in wanted} | {form for found in near.values() for form, _ in found}
        rows = self._rows(forms)
        return [self._candidates(each, near.get(each.normal, []), rows) for each in wanted]

    def _candidates(self, wanted: Wanted, near: list[tuple[str, int]], rows: dict[str, list[Any]]) -> list[Candidate]:
        forms = [(wanted.normal, 0), *sorted(near, key=lambda pair: (pair[1], pair[0]))]
        found = ((row, form, off) for form, off in forms for row in rows.get(form, ()))
        return [self._candidate(*each) for each, _ in zip(found, range(MOST_CANDIDATES), strict=False)]

    def _candidate(self, row: tuple[Any, ...], form: str, off: int) -> Candidate:
        key, canonical, authorship, rank, status, _, _, home, species, leads, *accepted = row
        usage = Usage(key, canonical, authorship, rank, status)
        taxon = Usage(leads, *accepted) if leads is not None else None
        return Candidate(usage, form, taxon, self._lineage(taxon or usage, home, species), off)

    def _lineage(self, taxon: Usage, home: int, species: str | None) -> tuple[Taxon, ...]:
        """Return the classification down to an accepted usage."""
        above = self.places.line(home) if home is not None and home >= 0 else ()
        if above and above[-1].key == taxon.key:
            return above
        words = taxon.canonical.split(" ")
        own: tuple[Taxon, ...] = (Taxon(taxon.key, taxon.canonical, taxon.rank),)
        if species and species != taxon.key and len(words) > 2:  # noqa: PLR2004
            own = (Taxon(species, " ".join(words[:2]), "SPECIES"), *own)
        return (*above, *own)

    @cached_property
    def places(self) -> Places:
        """The higher taxa, read once."""
        return Places(self._higher_file)

    def _rows(self, forms: Iterable[str]) -> dict[str, list[Any]]:
        """Return the usages of each normal form."""
        self._table("forms", [each.partition(" ")[::2] for each in forms])
        columns = ", ".join(f"u.{each}" for each in COLUMNS)
        found: dict[str, list[Any]] = defaultdict(list)
        for row in self.connection.execute(
            f"SELECT {columns} FROM {self.usages} u JOIN forms f ON u.first = f.first AND u.rest = f.rest "
            "ORDER BY u.canonical, length(u.key), u.key"
        ).fetchall():
            found[f"{row[5]} {row[6]}".strip()].append(row)
        return found

    def _near(self, forms: list[str]) -> dict[str, list[tuple[str, int]]]:
        """Return the normal forms within the allowed edits of each, itself left out."""
        if not forms:
            return {}
        parts = [(form, *form.partition(" ")[::2]) for form in dict.fromkeys(forms)]
        asked = [(first, rest, edits_allowed(form), letters(rest)) for form, first, rest in parts]
        self._table("asked", asked)
        self._neighbours()
        near: dict[str, list[tuple[str, int]]] = defaultdict(list)
        for first, rest, other_first, other_rest in self.connection.execute(NEAR.format(usages=self.usages)).fetchall():
            one, other = f"{first} {rest}".strip(), f"{other_first} {other_rest}".strip()
            off = edits(one, other)
            if 0 < off <= edits_allowed(one):
                near[one].append((other, off))
        return near

    def _neighbours(self) -> None:
        """Find the first words that are one edit apart from those asked for."""
        self.connection.execute(NEIGHBOURS.format(firsts=self.firsts))

    def _table(self, name: str, rows: list[Any]) -> None:
        """Make a table of what is asked for."""
        import polars as pl

        columns = {"first": pl.String, "rest": pl.String, "most": pl.Int32, "letters": pl.UInt64}
        wanted = dict(list(columns.items())[: len(rows[0]) if rows else 2])
        table = pl.DataFrame(rows, schema=wanted, orient="row")
        self.connection.register("given", table.to_arrow())
        self.connection.execute(f"CREATE OR REPLACE TEMP TABLE {name} AS SELECT * FROM given")
        self.connection.unregister("given")


class Places:
    """The higher taxa of an index by their numbers."""

    def __init__(self, file: Path) -> None:
        import polars as pl

        table = pl.read_parquet(file, columns=["key", "name", "rank", "inside"])
        self._rows = list(zip(*(table[each].to_list() for each in table.columns), strict=True))
        self._lines: dict[int, tuple[Taxon, ...]] = {}

    def line(self, number: int) -> tuple[Taxon, ...]:
        """Return the classification down to a higher taxon, from the root; one that leads round in a circle ends."""
        if number not in self._lines:
            steps: list[Taxon] = []
            at, left = number, DEEPEST
            while at >= 0 and left:
                key, name, rank, at = self._rows[at]
                steps.append(Taxon(key, name, rank))
                left -= 1
            self._lines[number] = tuple(reversed(steps))
        return self._lines[number]
