"""The two descriptions in a Darwin Core Archive: ``meta.xml``, the map of its tables, and ``eml.xml``, what it is.

The map follows the Darwin Core text guide (TDWG), the other the Ecological Metadata Language 2.2.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from itertools import zip_longest
from xml.etree import ElementTree

from sporeproof.findings import SAFETY_NOTE, plain
from sporeproof.release.content import Content
from sporeproof.release.formats.exchange.dwca_tables import CORE, EXTENSIONS, Shape, term
from sporeproof.release.formats.exchange.wording import title_of

META, EML = "meta.xml", "eml.xml"
TEXT_GUIDE = "http://rs.tdwg.org/dwc/text/"
EML_NAMESPACE = "https://eml.ecoinformatics.org/eml-2.2.0"
LANGUAGE = "en"
HEAD = '<?xml version="1.0" encoding="UTF-8"?>\n'
DECLARES = re.compile(r"<!\s*(?:DOCTYPE|ENTITY)", re.IGNORECASE)
CAUTION = (
    "No row means not recorded here, and an empty cell means unknown; neither means harmless, told apart or allowed. "
    "Show what is said of eating only together with the needs, cautions and confusions that stand beside it, and an "
    "entry that nobody reviewed as unreviewed. What proves a taxon, and which characters tell a pair apart, is not in "
    "here: it stands in the tables of the release."
)

Tree = ElementTree.Element


def meta() -> bytes:
    """Return the map of the tables."""
    root = ElementTree.Element("archive", {"xmlns": TEXT_GUIDE, "metadata": EML})
    _mapped(root, "core", "id", CORE)
    for shape in EXTENSIONS:
        _mapped(root, "extension", "coreid", shape)
    return _written(root)


def _mapped(root: Tree, kind: str, key: str, shape: Shape) -> None:
    table = ElementTree.SubElement(
        root,
        kind,
        {
            "encoding": "UTF-8",
            "fieldsTerminatedBy": ",",
            "linesTerminatedBy": "\\n",
            "fieldsEnclosedBy": '"',
            "ignoreHeaderLines": "1",
            "rowType": term(shape.row_type),
        },
    )
    _text(ElementTree.SubElement(table, "files"), "location", shape.file)
    ElementTree.SubElement(table, key, {"index": "0"})
    terms = [(0, "dwc:taxonID")] if shape is CORE else []
    for index, short in [*terms, *enumerate(shape.terms, 1)]:
        ElementTree.SubElement(table, "field", {"index": str(index), "term": term(short)})


def eml(content: Content) -> bytes:
    """Return what the archive is, who made it, how well it is known, and under which licence it goes out."""
    words = content.words
    root = ElementTree.Element(
        "eml:eml",
        {
            "xmlns:eml": EML_NAMESPACE,
            "packageId": f"{words['name']}/v{content.version}",
            "system": words["name"],
            "xml:lang": LANGUAGE,
        },
    )
    dataset = ElementTree.SubElement(root, "dataset")
    _text(dataset, "alternateIdentifier", f"{words['name']}-{content.version}")
    _text(dataset, "title", words["title"])
    _parties(dataset, "creator", content, "author")
    _text(dataset, "language", LANGUAGE)
    _paragraphs(dataset, "abstract", words["description"], _counted(content))
    _paragraphs(dataset, "additionalInfo", SAFETY_NOTE, CAUTION)
    _rights(dataset, words["licence"])
    if words.get("homepage"):
        _text(_inside(dataset, "distribution", "online"), "url", words["homepage"])
    _parties(dataset, "contact", content, "maintainer")
    whence = json.dumps(content.provenance, ensure_ascii=False, sort_keys=True)
    _text(_inside(root, "additionalMetadata", "metadata"), "provenance", whence)
    return _written(root)


def _rights(dataset: Tree, licence: dict[str, str]) -> None:
    _paragraphs(dataset, "intellectualRights", f"{licence['title']}, {licence['path']}")
    licensed = ElementTree.SubElement(dataset, "licensed")
    for kind, key in (("licenseName", "title"), ("url", "path"), ("identifier", "name")):
        _text(licensed, kind, licence[key])


def _inside(parent: Tree, *kinds: str) -> Tree:
    """Add elements one in the other, and return the innermost."""
    for kind in kinds:
        parent = ElementTree.SubElement(parent, kind)
    return parent


def _counted(content: Content) -> str:
    """Return how well the version is known, in words."""
    counts = content.provenance["counts"]
    parts = [
        f"{title_of(content.form, vocabulary, word).lower()} {count}"
        for key, vocabulary in (("review_state", "review-states"), ("evidence", "evidence"), ("verdict", "verdicts"))
        for word, count in counts[key].items()
    ]
    return f"Version {content.version}. Of {counts['taxa']} taxa: {', '.join(parts)}."


def _parties(parent: Tree, kind: str, content: Content, role: str) -> None:
    """Add the contributors of a role, all of them where nobody has it: there must be one."""
    given = content.words["contributors"]
    for each in [each for each in given if role in each.get("roles", ())] or given:
        _text(ElementTree.SubElement(parent, kind), "organizationName", each["title"])


def _paragraphs(parent: Tree, kind: str, *texts: str) -> None:
    held = ElementTree.SubElement(parent, kind)
    for each in texts:
        _text(held, "para", each)


def _text(parent: Tree, kind: str, text: str) -> None:
    ElementTree.SubElement(parent, kind).text = " ".join(text.split())


def _written(root: Tree) -> bytes:
    ElementTree.indent(root)
    return f"{HEAD}{ElementTree.tostring(root, encoding='unicode')}\n".encode()


def other_tree(data: bytes, wanted: bytes) -> Iterator[str]:
    """Yield where an XML text says anything else than another one; one that declares entities is not opened."""
    if data == wanted:
        return
    try:
        text = data.decode()
        if DECLARES.search(text):
            yield "declares a DOCTYPE or entities, which it never needs, and was not opened"
            return
        found = ElementTree.fromstring(text)  # noqa: S314 (a text without a DOCTYPE cannot declare entities)
    except (UnicodeDecodeError, ElementTree.ParseError, ValueError, RecursionError) as error:
        yield f"cannot be read as XML in UTF-8: {plain(str(error))[:200]}"
        return
    pairs = zip_longest(_parts(found), _parts(ElementTree.fromstring(wanted)))  # noqa: S314 (our own)
    differing = next(((one, other) for one, other in pairs if one != other), None)
    yield _told(*differing) if differing else "says the same, but is not written as a release writes it"


Part = tuple[str, tuple[tuple[str, str], ...], str, int]


def _parts(root: Tree) -> Iterator[Part]:
    """Yield each element: its name, attributes, text, and how many are in it; which makes the tree."""
    for each in root.iter():
        said = " ".join(f"{each.text or ''} {each.tail or ''}".split())
        yield str(each.tag), tuple(sorted(each.attrib.items())), said, len(each)


def _told(found: Part | None, wanted: Part | None) -> str:
    if found is None or wanted is None:
        part = found or wanted
        return f"{'has' if found else 'lacks'} an element {_shown(part)}"
    return f"says {_shown(found)} where a release says {_shown(wanted)}"


def _shown(part: Part | None) -> str:
    assert part is not None
    tag, attributes, said, inside = part
    given = " ".join(f'{key}="{value}"' for key, value in attributes)
    name = tag.rpartition("}")[2]
    return f"`{plain(f'{name} {given} {said}')[:160]}` ({inside} inside)"
