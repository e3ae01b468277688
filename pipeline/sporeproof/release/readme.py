"""The page that goes out with a package: what it is, what it never says, what its number promises."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from sporeproof.release.content import Content
from sporeproof.release.formats.registry import all_formats
from sporeproof.release.provenance import COUNTED

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

The same facts in every format; take the one that your program reads. Rows are sorted by primary key, an empty cell
means that nothing is known, and a list in one cell is joined with `|`.

| files | what they hold |
| --- | --- |
{formats}
| `datapackage.json` | every table and every column described (Frictionless Data Package v2) |
| `provenance.json` | what made this version, from what, how many entries are reviewed, and on what the verdicts rest |
| `news.md` | what changed, whatever got milder or stricter first |

| table | rows | what a row says |
| --- | --- | --- |
{tables}

`SHA256SUMS` holds the checksum of every other file: `sha256sum --check SHA256SUMS`. `sporeproof verify` also compares
every format with the tables and runs the safety rules again.

## Where it comes from

Written by {tool}; the table schemas are those of version {since}. Checksum of the content: `{content}`.

A verdict that speaks of eating holds only with the needs, cautions, accepted specimens and confusions of its entry.

| of {taxa} taxa | how many |
| --- | --- |
{counts}

| the names, and with what they were compared | how the answer was obtained | names | asked |
| --- | --- | --- | --- |
{checklists}

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


def readme(content: Content) -> str:
    """Return the text of the release's ``README.md``."""
    words, schemas = content.words, content.form.tables
    tables = [
        f"| `{name}` | {frame.height} | {schemas[name]['description']} |" for name, frame in content.frames.items()
    ]
    whence = content.provenance
    return PAGE.format(
        title=words["title"],
        version=content.version,
        description=words["description"].strip(),
        formats="\n".join(f"| {_place(each.paths(content))} | {each.about} |" for each in all_formats().values()),
        tables="\n".join(tables),
        tool=f"{whence['tool']['name']} {whence['tool']['version']}",
        since=whence["schema"]["since"],
        content=whence["content"]["sha256"],
        taxa=whence["counts"]["taxa"],
        counts="\n".join(_counts(content)),
        checklists="\n".join(map(_checklist, whence["checklists"])),
        licence=words["licence"]["title"],
        path=words["licence"]["path"],
        contributors="; ".join(each["title"] for each in words["contributors"]),
    )


def _counts(content: Content) -> Iterator[str]:
    """Yield a row for each verdict, evidence and review state that some taxon has."""
    for column, vocabulary in COUNTED.items():
        for word, count in content.provenance["counts"][column].items():
            term = content.form.vocabularies[vocabulary][word]
            if count:
                yield f"| {column.replace('_', ' ')}: {term.title} | {count} |"


def _checklist(found: dict[str, Any]) -> str:
    days = " to ".join(sorted({found["first"], found["last"]} - {""})) or "never"
    who = found["checklist"] or "nobody: written down from general knowledge, not confirmed"
    return f"| {who} | {found['obtained'] or 'not asked'} | {found['names']} | {days} |"


def _place(paths: list[str]) -> str:
    """Return where a format stands: its file, or the folder that all its files are in."""
    return f"`{paths[0]}`" if len(paths) == 1 else f"`{paths[0].partition('/')[0]}/`"
