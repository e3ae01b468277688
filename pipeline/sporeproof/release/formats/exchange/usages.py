"""The names of a version as usages of a checklist: each current one, and each other name with whom it leads to.

A name that somebody misspelt or misapplied is never called a plain synonym, and neither is one that may mean several
taxa, here or by the checklist that was asked: whoever follows a plain synonym does so without looking.
"""

from __future__ import annotations

import hashlib
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from sporeproof.findings import SAFETY_NOTE
from sporeproof.form.load import Form
from sporeproof.names.matching.ranks import rank_read
from sporeproof.names.outcome import CURRENT, DOUBTFUL, HOMONYM, SPLIT
from sporeproof.names.spelling import spelling_of
from sporeproof.release.content import Content, Row
from sporeproof.release.formats.exchange.wording import sentence, title_of
from sporeproof.release.nested import retired

# The words for the status of a usage in the Catalogue of Life Data Package; two of them are examples in Darwin Core.
ACCEPTED, SYNONYM, AMBIGUOUS, MISAPPLIED = "accepted", "synonym", "ambiguous synonym", "misapplied"
# All names here keep to the Code for algae, fungi and plants, in the abbreviation of Darwin Core.
CODE = "ICN"
TORN = frozenset({DOUBTFUL, HOMONYM, SPLIT})
DIGITS = 12
BINOMIAL = 2


@dataclass(frozen=True, slots=True)
class Usage:
    """A name with what it is to its taxon. ``accepted`` is the taxon's id, empty for the taxon's own name."""

    id: str
    accepted: str
    name: str
    authorship: str
    rank: str
    status: str
    family: str
    remarks: str

    @property
    def whole(self) -> str:
        """The name with its authors."""
        return f"{self.name} {self.authorship}".strip()


def usages(content: Content) -> Iterator[Usage]:
    """Yield the usages taxon by taxon, its own name first; an id stays as long as name, authors and taxon do."""
    meant: dict[str, set[str]] = defaultdict(set)
    gone = retired(content)
    for row in content.rows["names"]:
        meant[_spelled(row["name"])].add(row["taxon_id"])
    for ended in gone.values():
        meant[_spelled(ended["was"])].update(ended["successors"])
    for id, taxon in content.taxa.items():
        names = content.of("names", id)
        yield _own(content, taxon, [each for each in names if each["role"] == CURRENT])
        for each in names:
            if each["role"] != CURRENT:
                yield _other(content, taxon, each, several=len(meant[_spelled(each["name"])]) > 1)
    for id, ended in gone.items():
        if ended["successors"]:
            yield _ended(content, id, ended)


def _status(form: Form, name: Row, *, several: bool) -> str:
    """Return the status of a name that is not current; ``several`` where its spelling leads to several taxa."""
    if form.flagged("name-roles", name["role"], "misapplied"):
        return MISAPPLIED
    torn = several or name["outcome"] in TORN or form.flagged("name-roles", name["role"], "misspelt")
    return AMBIGUOUS if torn else SYNONYM


def _own(content: Content, taxon: Row, names: list[Row]) -> Usage:
    said = [_reviewed(content, taxon), *(_checked(content.form, each) for each in names), SAFETY_NOTE]
    return Usage(
        id=taxon["taxon_id"],
        accepted="",
        name=taxon["name"],
        authorship=taxon["authorship"] or "",
        rank=_rank_word(taxon["rank"]),
        status=ACCEPTED,
        family=taxon["family"] or "",
        remarks=" ".join(filter(None, said)),
    )


def _other(content: Content, taxon: Row, name: Row, *, several: bool) -> Usage:
    whole = f"{name['name']}|{name['authorship'] or ''}"
    said = [
        sentence(content.form, "name-roles", name["role"]),
        f"The taxon is called {taxon['name']} here.",
        _reviewed(content, taxon),
        _checked(content.form, name),
        SAFETY_NOTE,
    ]
    return Usage(
        id=f"{taxon['taxon_id']}-{hashlib.sha256(whole.encode()).hexdigest()[:DIGITS]}",
        accepted=taxon["taxon_id"],
        name=name["name"],
        authorship=name["authorship"] or "",
        rank=_rank_word(_rank_of(name["name"], content.form)),
        status=_status(content.form, name, several=several),
        family=taxon["family"] or "",
        remarks=" ".join(filter(None, said)),
    )


def _ended(content: Content, id: str, ended: dict[str, Any]) -> Usage:
    """Return an id that has ended as a usage of its successor, of several the one with the most cautious verdict."""
    first, *more = ended["successors"]
    plain = ended["merged"] and not more
    leads = "It is now" if plain else "A person must choose between"
    names = [f"{content.taxa[each]['name']} ({each})" for each in ended["successors"]]
    said = f"Retired since version {ended['since']}: {ended['reason']}. {leads} {', '.join(names)}."
    return Usage(
        id=id,
        accepted=first,
        name=ended["was"],
        authorship="",
        rank=_rank_word(_rank_of(ended["was"], content.form)),
        status=SYNONYM if plain else AMBIGUOUS,
        family=content.taxa[first]["family"] or "",
        remarks=f"{said} {_reviewed(content, content.taxa[first])} {SAFETY_NOTE}",
    )


def _reviewed(content: Content, taxon: Row) -> str:
    return sentence(content.form, "review-states", taxon["review_state"])


def _checked(form: Form, name: Row) -> str:
    """Return whom a name was held against and what that said; empty where nobody was asked."""
    if not name["outcome"]:
        return ""
    against = f" against {name['checked_against']}" if name["checked_against"] else ""
    when = f" on {name['checked_on']}" if name["checked_on"] else ""
    how = f" ({title_of(form, 'obtained', name['obtained']).lower()})" if name["obtained"] else ""
    return f"Name checked{against}{when}{how}: {title_of(form, 'outcomes', name['outcome']).lower()}."


def _rank_of(name: str, form: Form) -> str:
    """Return the rank that a name shows by how it is written; empty where it shows none."""
    words, spelling = name.split(), spelling_of(form.folder)
    for rank, term in (*spelling.terms.items(), *spelling.ends_with.items()):
        if term in words:
            return rank
    if len(words) == 1:
        return min(spelling.one_word)
    plain = [id for id, term in form.vocabularies["ranks"].items() if not term.flags]
    return plain[0] if len(words) == BINOMIAL and plain else ""


def _rank_word(rank: str) -> str:
    """Return a rank in the words of GBIF's vocabulary of ranks, as its name parser has them."""
    return rank_read(rank.replace("-", " ")).lower().replace("_", " ")


def _spelled(name: str) -> str:
    return " ".join(name.lower().split())
