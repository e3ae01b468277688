"""The tables, indexes and views of the database, as SQL made from the table schemas.

Names of tables and columns come from the schema and stand in quotes; what the data says goes in as values and never
becomes SQL. A description of the schema stands as a comment beside what it describes.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from typing import Any

from sporeproof.form.load import Form
from sporeproof.release.content import Content
from sporeproof.tables.build import DISMISSED

# "Spor" as a number, so that `file` and others can tell the database from others; SQLite's own registry has no such.
APPLICATION = 0x53706F72
TYPES = {"string": "TEXT", "integer": "INTEGER", "number": "REAL", "boolean": "INTEGER", "date": "TEXT"}
DAY = "????-??-??"
NAMED = ("names", "vernaculars")
NOTHING_LISTED = "Nothing dangerous is listed that it can be taken for. That does not clear it."
ABOUT = "CREATE TABLE about (key TEXT PRIMARY KEY NOT NULL, value TEXT NOT NULL) STRICT"


def tables(form: Form) -> Iterator[str]:
    """Yield the statements that create every table."""
    yield ABOUT
    for table in form.tables:
        yield _table(table, form.tables[table])


def over(form: Form) -> Iterator[str]:
    """Yield the statements that create what stands over the tables: indexes and views."""
    for table, schema in form.tables.items():
        for link in schema.get("foreignKeys", []):
            yield _index(table, link["fields"])
    for table in NAMED:
        yield f'CREATE INDEX "{table}_name" ON "{table}" (name COLLATE NOCASE)'
    yield from _views(form)


def order_of(table: str, form: Form) -> list[str]:
    """Return the columns by which the rows of a table are in order."""
    schema = form.tables[table]
    return [
        *schema["primaryKey"],
        *(each["name"] for each in schema["fields"] if each["name"] not in schema["primaryKey"]),
    ]


def about(content: Content) -> list[tuple[str, str]]:
    """Return what is said of the version as a whole, by key; what is more than a word is JSON."""
    found = {**content.provenance, "title": content.words["title"], "licence": content.words["licence"]}
    return sorted((key, each if isinstance(each, str) else _json(each)) for key, each in found.items())


def _json(value: Any) -> str:
    return json.dumps(value, ensure_ascii=False, sort_keys=True)


def _table(table: str, schema: dict[str, Any]) -> str:
    lines = [(_column(field), field["description"]) for field in schema["fields"]]
    lines += [(_key(schema), "")]
    lines += [(_link(link), "") for link in schema.get("foreignKeys", [])]
    last = len(lines) - 1
    body = "\n".join(
        f"  {text}{'' if place == last else ','}{f' -- {said}' if said else ''}"
        for place, (text, said) in enumerate(lines)
    )
    kind = "STRICT, WITHOUT ROWID" if _is_whole(schema) else "STRICT"
    return f'CREATE TABLE "{table}" ( -- {schema["description"]}\n{body}\n) {kind}'


def _key(schema: dict[str, Any]) -> str:
    """Return the key; SQLite wants no empty cell in a primary one."""
    kind = "PRIMARY KEY" if _is_whole(schema) else "UNIQUE"
    return f"{kind} ({', '.join(map(_named, schema['primaryKey']))})"


def _is_whole(schema: dict[str, Any]) -> bool:
    """Tell whether no part of the key may be empty."""
    needed = {each["name"] for each in schema["fields"] if each.get("constraints", {}).get("required")}
    return needed.issuperset(schema["primaryKey"])


def _named(word: str) -> str:
    return f'"{word}"'


def _column(field: dict[str, Any]) -> str:
    limits = field.get("constraints", {})
    checks = list(_checks(f'"{field["name"]}"', field, limits))
    needed = " NOT NULL" if limits.get("required") else ""
    check = f" CHECK ({' AND '.join(checks)})" if checks else ""
    return f'"{field["name"]}" {TYPES[field["type"]]}{needed}{check}'


def _checks(name: str, field: dict[str, Any], limits: dict[str, Any]) -> Iterator[str]:
    """Yield what SQL can hold a value to; a pattern is beyond it."""
    if "enum" in limits:
        yield f"{name} IN ({', '.join(map(quoted, limits['enum']))})"
    if "minimum" in limits:
        yield f"{name} >= {limits['minimum']}"
    if "maximum" in limits:
        yield f"{name} <= {limits['maximum']}"
    if field["type"] == "boolean":
        yield f"{name} IN (0, 1)"
    if field["type"] == "date":
        yield f"{name} GLOB {quoted(DAY)}"


def _link(link: dict[str, Any]) -> str:
    here, there = (", ".join(map(_named, each)) for each in (link["fields"], link["reference"]["fields"]))
    return f'FOREIGN KEY ({here}) REFERENCES "{link["reference"]["resource"]}" ({there})'


def _index(table: str, fields: list[str]) -> str:
    columns = ", ".join(map(_named, fields))
    return f'CREATE INDEX "{table}_{"_".join(fields)}" ON "{table}" ({columns})'


def quoted(text: str) -> str:
    """Return a text as a literal of SQL."""
    return "'" + text.replace("'", "''") + "'"


def _views(form: Form) -> Iterator[str]:
    """Yield the statements that create the views; which verdicts are edible is asked of the table of terms."""
    yield PAIRS.format(answered=quoted(DISMISSED))
    yield WHOLE.format(edible=_flagged("verdicts", "edible"), vouched=_flagged("review-states", "vouched"))
    yield EDIBLE.format(harm=_harmful(form), nothing=quoted(NOTHING_LISTED))
    yield "CREATE VIEW reviewed_taxa AS SELECT * FROM taxa_whole WHERE is_reviewed = 1"
    yield NAMES


def _flagged(vocabulary: str, flag: str) -> str:
    return (
        f"(SELECT id FROM terms WHERE vocabulary = {quoted(vocabulary)} "
        f"AND '|' || coalesce(flags, '') || '|' LIKE {quoted(f'%|{flag}|%')})"
    )


def _harmful(form: Form) -> str:
    """Return the verdicts of what can harm whoever takes it for something edible: unsettled ones among them."""
    found = [each for each in form.vocabularies["verdicts"] if form.is_dangerous(each) or form.is_unsettled(each)]
    return f"({', '.join(map(quoted, found))})"


# Each pair from both its sides, without those that a person answered.
PAIRS = """CREATE VIEW pairs AS
SELECT taxon_id, with_taxon_id, taxon_id AS told_from, listed, note, required, separators
FROM confusions WHERE listed <> {answered}
UNION ALL
SELECT with_taxon_id, taxon_id, taxon_id, listed, note, required, separators
FROM confusions AS there WHERE listed <> {answered} AND NOT EXISTS (
  SELECT 1 FROM confusions AS here WHERE here.listed <> {answered}
  AND here.taxon_id = there.with_taxon_id AND here.with_taxon_id = there.taxon_id)"""

# A verdict with all that it hangs on, in one row; of another taxon no verdict that somebody could eat by.
WHOLE = """CREATE VIEW taxa_whole AS
SELECT taxon_id, name, authorship, rank, family, verdict,
  verdict IN {edible} AS is_edible,
  (SELECT group_concat(id, '|') FROM (SELECT id FROM needs WHERE needs.taxon_id = taxa.taxon_id ORDER BY id)) AS needs,
  (SELECT group_concat(id, '|') FROM
    (SELECT id FROM cautions WHERE cautions.taxon_id = taxa.taxon_id ORDER BY id)) AS cautions,
  (SELECT group_concat(part, '|') FROM (
    SELECT character_id || '=' || state AS part FROM accept_only WHERE accept_only.taxon_id = taxa.taxon_id
    UNION ALL
    SELECT character_id || '=' || low || '..' || high || ' ' || unit FROM accept_ranges
    WHERE accept_ranges.taxon_id = taxa.taxon_id ORDER BY part)) AS accept_only,
  (SELECT group_concat(part, '|') FROM (
    SELECT other.name || CASE WHEN other.verdict IN {edible} THEN ' (see its own row)'
      ELSE ' (' || other.verdict || ')' END AS part FROM pairs
    JOIN taxa AS other ON other.taxon_id = pairs.with_taxon_id
    WHERE pairs.taxon_id = taxa.taxon_id ORDER BY part)) AS confusions,
  severity, grade, grade_reason, evidence, review_state, reviewed_on,
  review_state IN {vouched} AS is_reviewed
FROM taxa"""

EDIBLE = """CREATE VIEW edible_with_confusions AS
SELECT whole.taxon_id, whole.name, whole.verdict, whole.needs, whole.cautions, whole.accept_only, whole.grade,
  whole.grade_reason, whole.evidence, whole.review_state,
  harm.taxon_id AS with_taxon_id, harm.name AS with_name, harm.verdict AS with_verdict,
  harm.review_state AS with_review_state, pairs.listed, pairs.required, pairs.separators, pairs.note,
  CASE WHEN harm.taxon_id IS NULL THEN {nothing} END AS remark
FROM taxa_whole AS whole
LEFT JOIN (pairs JOIN taxa AS harm ON harm.taxon_id = pairs.with_taxon_id AND harm.verdict IN {harm})
  ON pairs.taxon_id = whole.taxon_id
WHERE whole.is_edible = 1"""

# Every name and id that was ever used; one that may mean several taxa has a row for each of them.
NAMES = """CREATE VIEW current_name AS
SELECT names.name AS asked, names.authorship AS asked_authorship, names.role AS asked_as, taxa.taxon_id,
  taxa.name, taxa.authorship FROM names JOIN taxa ON taxa.taxon_id = names.taxon_id
UNION ALL
SELECT vernaculars.name, NULL, 'vernacular', taxa.taxon_id, taxa.name, taxa.authorship
FROM vernaculars JOIN taxa ON taxa.taxon_id = vernaculars.taxon_id
UNION ALL
SELECT taxon_id, NULL, 'id', taxon_id, name, authorship FROM taxa
UNION ALL
SELECT ended.asked, NULL, 'retired', taxa.taxon_id, taxa.name, taxa.authorship FROM (
  SELECT taxon_id AS asked, '|' || coalesce(replaced_by, '') || '|' || coalesce(consider, '') || '|' AS led FROM retired
  UNION ALL
  SELECT was, '|' || coalesce(replaced_by, '') || '|' || coalesce(consider, '') || '|' FROM retired) AS ended
JOIN taxa ON ended.led LIKE '%|' || taxa.taxon_id || '|%'"""
