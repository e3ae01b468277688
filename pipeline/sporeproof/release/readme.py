"""The page that goes out with a package: what it is, what it never says, what its number promises."""

from __future__ import annotations

from typing import Any

from sporeproof.form.load import Form

PAGE = """\
# {title}

Version {version} of the data. {description}

## Before you rely on it

- These tables support identification by a competent person who has the fungus in the hand; they never replace
  it.
- No row means *not recorded here*. It never means harmless, ruled out, told apart or allowed, and an empty
  cell means unknown.
- Where no grade is given, nothing was computed: the tables `proofs` and `unexcluded` are then empty, and so are the
  columns for what is required, separates or is similar. That says nothing is cleared, not that nothing is in the way.
- No record of a protection means *not recorded here*, never *allowed*. Local law, byelaws, land managers and
  codes of good practice come first.
- Show a verdict only together with its needs, its cautions and its confusions, and an entry that nobody
  reviewed as unreviewed.
- Read the first part of `news.md` each time you take a newer version: whatever got milder stands there first,
  with the source that allows it, and so do the edible verdicts that rest on memory alone.

## What is in it

`datapackage.json` describes each table and each column (Frictionless Data Package v2). Every table is there
twice with the same rows: `csv/` (UTF-8, LF, an empty field where nothing is known, a list in one cell joined
with `|`) and `parquet/`. Rows are sorted by primary key.

| table | rows | what a row says |
| --- | --- | --- |
{tables}

`SHA256SUMS` holds the checksum of every other file: `sha256sum --check SHA256SUMS`.

## What the version promises

The number is computed from what changed and never chosen. You can take any newer version of the same major
number without changing your code; you must read the first part of its news.

| raised | when |
| --- | --- |
| major | a column, table, key or code goes or changes meaning; a verdict, need, caution, confusion or \
protection gets milder or goes |
| minor | entries come or are retired; anything gets stricter; values and names change; computed pairs and \
grades change |
| patch | only words and sources change |

An id is never deleted and never used again: the table `retired` says where one that has ended leads.

## Licence

{licence}, {path}. Copyright: {contributors}.
"""


def readme(rows: dict[str, int], form: Form, words: dict[str, Any], version: str) -> str:
    """Return the text of the package's ``README.md``; ``rows`` counts the rows of each table."""
    tables = [f"| `{name}` | {count} | {form.tables[name]['description']} |" for name, count in rows.items()]
    return PAGE.format(
        title=words["title"],
        version=version,
        description=words["description"].strip(),
        tables="\n".join(tables),
        licence=words["licence"]["title"],
        path=words["licence"]["path"],
        contributors="; ".join(each["title"] for each in words["contributors"]),
    )
