"""Reads what an archive says of itself: the map of a Darwin Core Archive, and release and title."""

from __future__ import annotations

import codecs
import re
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from xml.etree import ElementTree

from sporeproof.names.download.layout import DWCA, MOST_COLUMNS, Layout, columns_of, cut, first_row
from sporeproof.names.download.unpacking import Unopened, excerpt

ROW_TYPES = frozenset({"taxon", "occurrence"})
# What the Darwin Core text guide says where an attribute is left out.
USUAL_ATTRIBUTES = {
    "fieldsTerminatedBy": ",",
    "fieldsEnclosedBy": '"',
    "linesTerminatedBy": "\\n",
    "ignoreHeaderLines": "0",
    "encoding": "UTF-8",
    "rowType": "",
}


@dataclass(frozen=True, slots=True)
class Map:
    """What ``meta.xml`` says of the core file; ``terms`` by column, ``defaults`` by term, ``about`` a file name."""

    location: str
    delimiter: str
    quote: str
    has_header: bool
    terms: dict[int, str]
    defaults: dict[str, str]
    about: str

    def laid_out(self, head: str) -> Layout:
        """Return the layout of the core file by this map and the first line; raises :class:`Unopened`."""
        first = first_row(head, self.delimiter, self.quote)
        if max(self.terms, default=0) >= len(first):
            raise Unopened(
                f"meta.xml names a column {max(self.terms) + 1}, but the first line of {excerpt(self.location)} has "
                f"{len(first)}. Download the archive again, or tell its publisher."
            )
        headings = columns_of(first) if self.has_header else ()
        self._agree(headings)
        given = dict(enumerate(headings))
        taken = {term.lower() for term in self.terms.values()}
        names = [self.terms.get(at) or _free(given.get(at, ""), at, taken) for at in range(len(first))]
        return Layout(DWCA, self.delimiter, self.quote, tuple(names), self.has_header)

    def _agree(self, headings: tuple[str, ...]) -> None:
        """Raise where the header calls a column by the term that the map gives to another."""
        for at, heading in enumerate(headings):
            term = self.terms.get(at, heading)
            if term.lower() != heading.lower() and heading.lower() in {each.lower() for each in self.terms.values()}:
                raise Unopened(
                    f"column {at + 1} is `{excerpt(term)}` by meta.xml but `{excerpt(heading)}` by its own header, and "
                    "names would be read from the wrong column. Tell its publisher."
                )


def _free(heading: str, at: int, taken: set[str]) -> str:
    return heading if heading and heading.lower() not in taken else f"column_{at + 1}"


def mapped(data: bytes) -> Map:
    """Return what ``meta.xml`` says; raises :class:`Unopened` where it is hostile, or not about names."""
    archive = _parsed(data)
    cores = [each for each in archive if _name(each) == "core"]
    if len(cores) != 1:
        raise Unopened("meta.xml has no core, or several, so there is no main table. Tell its publisher.")
    core = cores[0]
    said = {key: core.get(key, usual) for key, usual in USUAL_ATTRIBUTES.items()}
    if cut(said["rowType"]).lower() not in ROW_TYPES:
        raise Unopened(
            f"its main table holds `{excerpt(cut(said['rowType']))}`; only taxa and occurrences can be read. "
            "Choose a checklist, or a download of occurrences."
        )
    terms, defaults = _fields(core)
    return Map(
        location=_location(core),
        delimiter=_sign(said, "fieldsTerminatedBy", {"\t", ",", ";", "|"}),
        quote=_sign(said, "fieldsEnclosedBy", {"", '"'}),
        has_header=_has_header(said),
        terms=terms,
        defaults=defaults,
        about=archive.get("metadata", "eml.xml"),
    )


def _parsed(data: bytes) -> ElementTree.Element:
    """Return the root of an XML text that declares nothing of its own: entities are never opened."""
    try:
        text = data.decode("utf-8-sig")
        if re.search(r"<!\s*(?:DOCTYPE|ENTITY)", text, re.IGNORECASE):
            raise Unopened(
                "meta.xml declares a DOCTYPE or entities, which a map of columns never needs and which can be used to "
                "read other files. Take the file from its publisher."
            )
        return ElementTree.fromstring(text)  # noqa: S314 (a text without a DOCTYPE cannot declare entities)
    except (UnicodeDecodeError, ElementTree.ParseError, ValueError, RecursionError):
        raise Unopened("meta.xml is not XML in UTF-8. Download the archive again, or tell its publisher.") from None


def _name(element: ElementTree.Element) -> str:
    return element.tag.rpartition("}")[2]


def _children(element: ElementTree.Element, name: str) -> Iterator[ElementTree.Element]:
    return (each for each in element if _name(each) == name)


def _location(core: ElementTree.Element) -> str:
    found = [(each.text or "").strip() for files in _children(core, "files") for each in _children(files, "location")]
    if len(found) != 1 or not found[0]:
        raise Unopened(f"meta.xml names {len(found)} files for the main table; exactly one can be read.")
    if re.match(r"[A-Za-z][A-Za-z0-9+.-]*:", found[0]):
        raise Unopened(
            f"meta.xml looks for the main table at `{excerpt(found[0])}`, outside the archive; nothing is fetched. "
            "Download an archive that holds its table."
        )
    return found[0]


def _sign(said: dict[str, str], key: str, known: set[str]) -> str:
    sign = said[key].replace("\\t", "\t")
    if sign not in known:
        raise Unopened(
            f"meta.xml gives `{excerpt(said[key])}` as {key}, which cannot be read; "
            "tab, comma, semicolon, vertical bar and double quotation marks can. Tell its publisher."
        )
    return sign


def _has_header(said: dict[str, str]) -> bool:
    """Return whether the first line is a header, and make sure that what remains is as usual."""
    if said["linesTerminatedBy"].replace("\\r", "\r").replace("\\n", "\n") not in {"\n", "\r\n"}:
        raise Unopened("meta.xml says that lines do not end with a line end, which cannot be read. Tell its publisher.")
    try:
        is_utf8 = codecs.lookup(said["encoding"] or "UTF-8").name in {"utf-8", "ascii"}
    except (LookupError, ValueError):
        is_utf8 = False
    if not is_utf8:
        raise Unopened(
            f"meta.xml says its text is written in `{excerpt(said['encoding'])}`; only UTF-8 can be read, since "
            "guessing would change names. Ask its publisher for UTF-8."
        )
    if said["ignoreHeaderLines"] not in {"", "0", "1"}:
        raise Unopened(
            f"meta.xml has `{excerpt(said['ignoreHeaderLines'])}` header lines skipped; only none or one can be. "
            "Tell its publisher."
        )
    return said["ignoreHeaderLines"] == "1"


def _fields(core: ElementTree.Element) -> tuple[dict[int, str], dict[str, str]]:
    """Return the terms by column, and the values that hold where no column or cell gives one."""
    pairs: list[tuple[int, str]] = []
    defaults: dict[str, str] = {}
    for each in _children(core, "field"):
        term = cut(each.get("term", ""))
        if each.get("index") is not None:
            pairs.append((_index(each), term))
        if each.get("default"):
            defaults[term] = each.get("default", "")
    terms = dict(pairs)
    doubled = [term for term, count in Counter(term.lower() for _, term in pairs).items() if count > 1]
    if len(terms) != len(pairs) or doubled or "" in terms.values():
        raise Unopened("meta.xml gives one column or one term twice, or none at all. Tell its publisher.")
    for each in _children(core, "id"):
        if (at := _index(each)) not in terms and "id" not in terms.values():
            terms[at] = "id"
    return terms, defaults


def _index(element: ElementTree.Element) -> int:
    text = element.get("index", "")
    if not re.fullmatch(r"[0-9]{1,4}", text) or int(text) >= MOST_COLUMNS:
        raise Unopened(f"meta.xml has `{excerpt(text)}` as the number of a column. Tell its publisher.")
    return int(text)


def said_in_eml(data: bytes) -> tuple[str, str]:
    """Return release (the day of publication) and title from an EML text; empty where it does not say, or not well."""
    try:
        root = _parsed(data)
    except Unopened:
        return "", ""
    found = {"pubDate": "", "title": ""}
    for dataset in _children(root, "dataset"):
        for each in dataset:
            if _name(each) in found and not found[_name(each)]:
                found[_name(each)] = excerpt(" ".join((each.text or "").split()))
    return found["pubDate"], found["title"]


def said_in_yaml(data: bytes) -> tuple[str, str]:
    """Return release (version, else day of issue) and title from a ColDP ``metadata.yaml``: its plain lines only."""
    found: dict[str, str] = {}
    for line in data.decode("utf-8", "replace").splitlines():
        if (match := re.match(r"(version|issued|title):[ \t]+(.*)", line)) and match[2].strip() not in {
            "|",
            ">",
            "null",
            "~",
        }:
            found.setdefault(match[1], excerpt(match[2].strip().strip("\"'")))
    return found.get("version") or found.get("issued", ""), found.get("title", "")
