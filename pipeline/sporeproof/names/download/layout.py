"""Reads the first lines of a text: which sign parts the columns, what they are called, where the rows begin."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import islice

from sporeproof.names.download.unpacking import Unopened, excerpt

GBIF_SIMPLE, DWCA, COLDP, DELIMITED, PARQUET = "gbif-simple", "dwca", "coldp", "delimited", "parquet"
MOST_COLUMNS = 2_000
SAMPLE_ROWS = 200
SAMPLE_LETTERS = 256 * 1024
LONGEST_HEADING = 200
DELIMITERS = "\t,;|"
SAID = {"\t": "tab", ",": "comma", ";": "semicolon", "|": "vertical bar"}

# Facts, section 9: backbone-ddl.sql of the checklist bank.
SIMPLE_HEADER = (
    "id parent_key basionym_key is_synonym status rank nom_status constituent_key origin source_taxon_key kingdom_key "
    "phylum_key class_key order_key family_key genus_key species_key name_id scientific_name canonical_name "
    "genus_or_above specific_epithet infra_specific_epithet notho_type authorship year bracket_authorship bracket_year "
    "name_published_in issues"
)
SIMPLE_COLUMNS = tuple(SIMPLE_HEADER.split())
SIMPLE_NULL = "\\N"
# A list with one column is told from a table with an unknown delimiter by these headings alone.
LONE_COLUMNS = frozenset({"scientificname", "canonicalname"})

PREFIX = re.compile(r"[A-Za-z][A-Za-z0-9]{0,9}:(?=[A-Za-z]\w*\Z)")
ENUM = re.compile(r"[A-Z][A-Z_]*\Z")
NUMBER = re.compile(r"-?[0-9]+\Z")


@dataclass(frozen=True, slots=True)
class Layout:
    """How a text is laid out; the fields mean what they mean in ``Sheet``."""

    kind: str
    delimiter: str
    quote: str
    columns: tuple[str, ...]
    has_header: bool = True
    null: str = ""
    escaped: bool = False


def laid_out(head: str) -> Layout:
    """Return the layout of a text from its first lines, all of them whole; raises :class:`Unopened`."""
    first, _, _ = head.partition("\n")
    if "\r" in first.removesuffix("\r"):
        raise Unopened("its lines end as on old Macs (CR alone). Save it with usual line ends.")
    if is_simple(head):
        return Layout(GBIF_SIMPLE, "\t", "", SIMPLE_COLUMNS, False, SIMPLE_NULL, escaped=True)
    if max(map(first.count, DELIMITERS)) >= MOST_COLUMNS:
        raise too_wide()
    delimiter, quote = _parted(head, first)
    header = first_row(head, delimiter, quote)
    return Layout(DELIMITED, delimiter, quote, columns_of(header))


def is_simple(head: str) -> bool:
    """Tell whether the lines are rows of the backbone's simple file, which has no header."""
    lines = head.split("\n", SAMPLE_ROWS)[:SAMPLE_ROWS]
    rows = [line.split("\t") for line in lines if line]
    like = [len(row) == len(SIMPLE_COLUMNS) and _is_simple(row) for row in rows[:-1] or rows]
    return bool(like) and like[0] and sum(like) > len(like) // 2


def _is_simple(row: Sequence[str]) -> bool:
    return bool(NUMBER.match(row[0])) and all(ENUM.match(cell) or cell == SIMPLE_NULL for cell in row[4:6])


def _parted(head: str, first: str) -> tuple[str, str]:
    """Return delimiter and quote: those by which most columns come out, and as many in each row as in the first."""
    ways = [(delimiter, quote) for delimiter in DELIMITERS for quote in _quotes(head, delimiter)]
    widths = {way: [len(row) for row in islice(rows_of(head, *way), SAMPLE_ROWS)] for way in ways}
    many = {way: found for way, found in widths.items() if found and found[0] > 1}
    even = [way for way, found in many.items() if len(set(found)) == 1]
    if even or many:
        return max(even or many, key=lambda way: widths[way][0])
    if cut(first.strip().strip('"')).lower() in LONE_COLUMNS:
        quoted = re.search(r'\n".*"\r?(?:\n|\Z)', head) or first.startswith('"')
        return (",", '"') if quoted else ("\t", "")
    if '"' in first and any(delimiter in first for delimiter in DELIMITERS):
        raise _misquoted()
    raise Unopened(
        f"its first line, `{excerpt(first)}`, is one column only: neither tab, comma, semicolon nor vertical bar parts "
        "it. Save it with one of these between the columns and their names in the first line."
    )


def _quotes(head: str, delimiter: str) -> tuple[str, ...]:
    """Return the quotes to try, the likelier first: with tab and bar they are data, unless rows come out uneven."""
    if delimiter in ",;":
        return ('"',)
    return ('"',) if head.startswith('"') else ("", '"')


def rows_of(head: str, delimiter: str, quote: str) -> Iterator[list[str]]:
    """Yield rows as lists of fields; the last is empty where a quote stands where none can, and nothing follows it."""
    sign = re.escape(delimiter)
    quoted = '"(?P<quoted>[^"]*(?:""[^"]*)*)"|' if quote else ""
    field = re.compile(rf"(?:{quoted}(?P<bare>[^{sign}\n{quote}]*))(?P<end>{sign}|\r?\n|\r?\Z)")
    row: list[str] = []
    at = 0
    while at < len(head) and (found := field.match(head, at)):
        inner = found.groupdict().get("quoted")
        row.append(found["bare"].removesuffix("\r") if inner is None else inner.replace('""', '"'))
        at = found.end()
        if found["end"] != delimiter:
            yield row
            row = []
    if at < len(head):
        yield []
    elif row:
        yield [*row, ""]


def first_row(head: str, delimiter: str, quote: str) -> list[str]:
    """Return the fields of the first row; raises :class:`Unopened` where it cannot be parted."""
    row = next(rows_of(head, delimiter, quote), [])
    if not row:
        raise _misquoted()
    return row


def _misquoted() -> Unopened:
    return Unopened(
        "its first line has a quotation mark that is left open or in the middle of a field. Mend that line."
    )


def columns_of(header: Sequence[str]) -> tuple[str, ...]:
    """Return the names of the columns, cut to their terms; raises :class:`Unopened` where they cannot be names."""
    if len(header) > MOST_COLUMNS:
        raise too_wide()
    names = [cut(cell) or f"column_{number}" for number, cell in enumerate(header, 1)]
    numbers = sum(bool(NUMBER.match(cell)) for cell in header)
    for cell in header:
        is_value = cell == SIMPLE_NULL or len(cell) > LONGEST_HEADING
        if is_value or (NUMBER.match(cell) and (cell == header[0] or 2 * numbers > len(header))):
            raise Unopened(
                f"its first line holds `{excerpt(cell)}` and looks like a row, not like the names of columns. "
                "Put a line with the names of the columns above it."
            )
    seen: set[str] = set()
    for name in names:
        if name.lower() in seen:
            raise Unopened(f"two columns are called `{excerpt(name)}`. Give each its own name: one of them is meant.")
        seen.add(name.lower())
    return tuple(names)


def cut(heading: str) -> str:
    """Return the term alone: without an address or a prefix such as ``dwc:`` before it.

    >>> cut("col:ID"), cut("http://rs.tdwg.org/dwc/terms/genus"), cut("seen on: date")
    ('ID', 'genus', 'seen on: date')
    """
    heading = heading.strip()
    if re.match(r"https?://", heading):
        heading = re.split(r"[/#]", heading.rstrip("/#"))[-1]
    return PREFIX.sub("", heading)


def too_wide() -> Unopened:
    """Return what is said of a header with too many columns."""
    return Unopened(
        f"it has more than {MOST_COLUMNS:,} columns, as no table of names has. Take the file from its publisher."
    )
