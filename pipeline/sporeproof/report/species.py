"""One species in words, or for a program: what it is, what it is taken for, how it is known.

The verdict comes first, and what it hangs on before anything that makes the mouth water.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Any

from sporeproof.findings import SAFETY_NOTE
from sporeproof.form.load import Form
from sporeproof.records.entry import Entry
from sporeproof.report import species_wording as say
from sporeproof.report.json_text import json_text
from sporeproof.report.species_parts import told_of
from sporeproof.report.species_subject import Subject, Told
from sporeproof.tables.resolve import Checklist

SCHEMA = 1

Lines = Iterator[str]


def species_json(entry: Entry, checklist: Checklist, form: Form, protections: list[dict[str, Any]], asked: str) -> str:
    """Return an entry for a program. The keys are a contract: they change only with the number under ``schema``.

    A word of the schema is ``{id, title, definition}``. A value is ``{states: [{id, means}]}`` or
    ``{low, high, unit, unit_title}``. A citation is ``{source_id, recalls}``, explained under ``sources``.

    asked: word, found_by (current, id, former, vernacular, retired), role, misapplied, retired (was, because, since).
    taxon_id, name, authorship, rank, family, vernacular, file, members; sound: false where parts cannot be read.
    verdict: the word, with edible, dangerous, severity, sources. needs, cautions, accept_only: what it hangs on.
    syndromes: the word, with note and onsets (phase, low_h, high_h, source_id, recalls).
    confusions: written, taxa, verdict (the most cautious of them; its id is empty where none is found),
    listed_by, told_apart_by (id, title, separates, proof, seen_by, here, there), hints, note, sources.
    no_dangerous_confusion, answered: why a pair is not listed. An absence clears nothing.
    appearance: part and characters (id, title, values by stage, follows, sources). unknown_characters.
    setting, uses, former_names, protections, evidence, grade (null: see `proof`), review, sources, safety_note.
    """
    told = told_of(Subject(entry, checklist, form, protections, asked))
    return json_text({"schema": SCHEMA, **told, "safety_note": SAFETY_NOTE})


def species_text(entry: Entry, checklist: Checklist, form: Form, protections: list[dict[str, Any]], asked: str) -> str:
    """Return an entry in words, at most 100 columns wide, without the safety note, which its caller adds."""
    told = told_of(Subject(entry, checklist, form, protections, asked))
    sections = (list(section(told)) for section in SECTIONS)
    return "\n\n".join("\n".join(lines) for lines in sections if lines)


def _head(told: Told) -> Lines:
    yield say.paragraph(f"{told['name']} {told['authorship']}")
    yield from (say.paragraph(each) for each in _called(told["asked"], told["name"]))
    for language, names in told["vernacular"].items():
        yield say.paragraph(f"Everyday names ({language}): {', '.join(names)}")
    yield say.paragraph(", ".join(each for each in (told["rank"]["title"], told["family"], told["taxon_id"]) if each))
    for each in told["members"]:
        yield say.paragraph(f"It stands for {say.with_verdicts(each)}", 1)
    if not told["sound"]:
        yield ""
        yield say.paragraph(
            f"PARTS OF THIS ENTRY CANNOT BE READ and are left out below: it may be more dangerous than it looks here. "
            f"Run `sporeproof check {told['file']}` before you rely on any of it."
        )


def _called(asked: Told, name: str) -> Lines:
    word = asked["word"]
    if asked["misapplied"]:
        yield f"{word} is the name of another taxon, used for {name} by mistake: whoever says it may mean either."
    elif asked["found_by"] == "former":
        yield f"{word} is called {name} today." + (f" {say.full(asked['role'])}" if asked["role"] else "")
    elif asked["found_by"] == "vernacular":
        yield f"{word} is an everyday name of {name}; other fungi may bear it too."
    elif asked["found_by"] == "retired":
        was, because = asked["retired"]["was"], asked["retired"]["because"]
        yield f"{word} has ended. It was {was}; {name} answers for it. {because}"


def _verdict(told: Told) -> Lines:
    verdict = told["verdict"]
    title = verdict["title"].upper() or "NONE CAN BE READ"
    yield say.paragraph(f"VERDICT: {title}." + ("" if verdict["edible"] else " DO NOT EAT IT."))
    yield say.paragraph(verdict["definition"], 1)
    if verdict["severity"]:
        yield say.paragraph(say.full(verdict["severity"]), 1)


def _words(heading: str, key: str) -> Callable[[Told], Lines]:
    """Return the section that lists words with their definitions under a heading."""

    def section(told: Told) -> Lines:
        if told[key]:
            yield heading
            yield from (say.paragraph(say.full(each), 1) for each in told[key])

    return section


def _accepted(told: Told) -> Lines:
    if told["accept_only"]:
        yield "Only these specimens; any other is left, even if it is this species"
        yield from (say.paragraph(f"{each['title']}: {say.in_words(each, set())}", 1) for each in told["accept_only"])


def _harm(told: Told) -> Lines:
    if not told["syndromes"] and not told["verdict"]["dangerous"]:
        return
    yield "How it harms"
    for each in told["syndromes"]:
        yield say.paragraph(say.full(each), 1)
        yield from (say.paragraph(line, 2) for line in say.onset_lines(each["onsets"]))
        if each["note"]:
            yield say.paragraph(each["note"], 2)
    if not told["syndromes"]:
        yield say.paragraph("How it harms is not recorded; that makes it no safer.", 1)
    yield say.paragraph(
        "A late onset is never ruled out by an early one: who is ill soon can still be harmed later.", 1
    )


def _confusions(told: Told) -> Lines:
    yield "What it can be taken for, the most dangerous first"
    for each in told["confusions"]:
        yield from _confusion(each, told["taxon_id"])
    for each in told["answered"]:
        yield say.paragraph(f"{say.with_verdicts(each)}: compared and not listed. {each['because']}", 1)
    if not told["confusions"]:
        yield say.paragraph("Nothing is listed. That does not clear it.", 1)
    if told["no_dangerous_confusion"]:
        yield say.paragraph(f"Why no dangerous one is listed: {told['no_dangerous_confusion']['because']}", 1)
    yield say.paragraph("What is not listed here is not ruled out.", 1)
    yield from (say.paragraph(each, 1) for each in _weights(told["confusions"]))


def _weights(confusions: list[Told]) -> Lines:
    claims = [claim for each in confusions for claim in each["told_apart_by"]]
    if weights := {claim["proof"]["id"]: claim["proof"] for claim in claims if claim["proof"]}:
        yield f"Weight of proof. {' '.join(map(say.full, weights.values()))}"
        yield (
            "What tells two apart does not tell this one from everything else, so it is no list of proof. "
            "What is not said to be accepted is as wide as it can be: at every age, and worn."
        )


def _confusion(each: Told, here: str) -> Lines:
    yield say.paragraph(say.with_verdicts(each), 1)
    if not each["told_apart_by"]:
        yield say.paragraph("Nothing is named that tells the two apart for certain.", 2)
    yield from (say.paragraph(f"Told apart by {_claim(claim)}", 2) for claim in each["told_apart_by"])
    if each["hints"]:
        yield say.paragraph(f"Only hints, which prove nothing: {say.titles(each['hints'])}.", 2)
    if each["note"]:
        its = f"Said in the entry of {each['written']}, which is `this one` there: "
        whose = "" if each["listed_by"] == here else its
        yield say.paragraph(whose + each["note"], 2)


def _claim(claim: Told) -> str:
    what = say.lower(claim["title"])
    if claim["separates"] is None:
        return f"{what}, which cannot be compared"
    worth = claim["proof"] or {"title": "not for certain"}
    seen = ", ".join(say.lower(each["title"]) for each in (worth, claim["seen_by"]))
    return f"{what} ({seen}). {say.side('This one', claim['here'])}; {say.side('the other', claim['there'])}."


def _look(told: Told) -> Lines:
    yield "What it looks like"
    for part in told["appearance"]:
        yield say.paragraph(part["part"]["title"] or "Words that the catalogue does not hold", 1)
        yield from (say.paragraph(f"{each['title']}: {say.by_stage(each)}", 2) for each in part["characters"])
    if missing := told["unknown_characters"]:
        yield say.paragraph(f"Unknown, since nobody has recorded it ({len(missing)}): {say.titles(missing)}.", 1)


def _setting(told: Told) -> Lines:
    setting = told["setting"]
    yield "Where and when"
    yield say.paragraph(f"Grows on: {say.definitions(setting['substrate']) or say.NOT_RECORDED}", 1)
    for each in setting["hosts"]:
        yield say.paragraph(f"Hosts, {say.definitions([each['strength']])}: {', '.join(each['genera'])}", 1)
    yield say.paragraph(f"Found in: {say.titles(setting['habitat']) or say.NOT_RECORDED}", 1)
    yield say.paragraph(f"Fruits: {say.season(setting['months'], setting['peak'])}", 1)
    if setting["region"]:
        yield say.paragraph(f"Hosts and season as observed in {setting['region']['title']}.", 1)


def _former(told: Told) -> Lines:
    if told["former_names"]:
        yield "Old names"
        for each in told["former_names"]:
            name = f"{each['name']} {each['authorship']}".strip()
            yield say.paragraph(f"{name}: {say.definitions([each['kind']])}", 1)


def _protections(told: Told) -> Lines:
    yield "Protection by law"
    for each in told["protections"]:
        law = ", ".join(each[key] for key in ("instrument", "section") if each[key])
        since = f" since {each['since']}" if each["since"] else ""
        yield say.paragraph(f"{law}: listed as {each['name_as_listed']}{since} {say.bracketed(each['sources'])}", 1)
        yield say.paragraph(f"Holds in {', '.join(land['title'] for land in each['territories'])}. It forbids:", 2)
        yield from (say.paragraph(say.full(act), 3) for act in each["acts"])
        read = f"Read on {each['checked_on']}." if each["checked_on"] else "Nobody has read the law for this record."
        yield say.paragraph(read, 2)
    if not told["protections"]:
        yield say.paragraph("Not recorded here, which does not mean allowed.", 1)


def _known(told: Told) -> Lines:
    evidence, review = told["evidence"], told["review"]
    yield "How this is known"
    yield say.paragraph(f"The verdict. {say.full(evidence)}", 1)
    for each in evidence["opinions"]:
        yield say.paragraph(f"{each['verdict']['title']}: {say.bracketed([each])}", 2)
    characters = [each for part in told["appearance"] for each in part["characters"] if each["values"]]
    for what, sourced in (
        ("What it hangs on", [told["verdict"]]),
        ("What it looks like", characters),
        ("Where and when", [told["setting"]]),
        ("What it is taken for", told["confusions"]),
    ):
        yield say.paragraph(f"{what}: {say.sources_counted(sourced)}", 1)
    yield say.paragraph("Grade of proof: `sporeproof proof` works it out.", 1)
    yield say.paragraph(_reviewed(review), 1)


def _reviewed(review: Told) -> str:
    if not review["vouched"]:
        return f"NOBODY HAS REVIEWED THIS ENTRY. {say.full(review['state'])}"
    who = " ".join(f"{key} {review[key]}" for key in ("by", "on") if review[key])
    return f"Reviewed {who}. Whether the text has changed since then is not checked here."


def _sources(told: Told) -> Lines:
    if told["sources"]:
        yield "Sources named above"
    for each in told["sources"]:
        where = [f"{key} {each[key]}" for key in ("doi", "isbn", "url") if each[key]]
        said = each["citation"] or each["kind"]["definition"] or "This source is not described."
        yield say.paragraph(" ".join([f"[{each['source_id']}] {said}", *where]), 1)


SECTIONS: tuple[Callable[[Told], Lines], ...] = (
    _head,
    _verdict,
    _words("Never without", "needs"),
    _words("Cautions", "cautions"),
    _accepted,
    _harm,
    _confusions,
    _look,
    _setting,
    _words("Other uses", "uses"),
    _former,
    _protections,
    _known,
    _sources,
)
