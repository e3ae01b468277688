"""Two entries that turn out to be one taxon: what the kept one must say before the other may go.

A merge softens nothing. The entry that stays must already be as cautious as the one that goes, hold all that it
warns of, and cover all that it may look like: of a fruitbody that was called by the other name nothing may be
excluded that was not excluded before. What is lacking is told as steps for a person, since no program changes
what an entry says of danger. The id of the other is retired and leads to the one that stays (data-model.md, 6).
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from typing import Any

from sporeproof.form.load import Form
from sporeproof.names.outcome import Use
from sporeproof.records.entry import NOT_NUMBERED, UNSTAGED, Entry, Name
from sporeproof.tables.resolve import Checklist, Retired, references, spelled
from sporeproof.text.edit import EditRefused, Path_, add_item, insert_key, replace_words, written
from sporeproof.text.read import plain, read_page

RETIRED = "dataset/retired.yaml"
LEADING = ("replaced_by", "consider")
CURRENTLY = "current"
FORMERLY = "former"
REFERRING = ("confusions", "not_confused_with")


def lacking(gone: Entry, kept: Entry, form: Form) -> Iterator[str]:
    """Yield what keeps an entry from going into another one, as steps for a person; nothing where it may."""
    for each in (gone, kept):
        if each.id in {"", NOT_NUMBERED}:
            yield f"Give {each.name} its number: `sporeproof number`."
    if gone.rank != kept.rank or gone.members or kept.members:
        yield f"{gone.name} ({gone.file}) and {kept.name} are not both one taxon of the same rank: merge them by hand."
    yield from _milder(gone, kept, form)
    yield from _unwarned(gone, kept, form)
    yield from _unnamed(gone, kept)
    yield from _narrower(gone, kept)


def _milder(gone: Entry, kept: Entry, form: Form) -> Iterator[str]:
    """Yield where the verdict of the one that stays is milder, or stands on less."""
    verdict = "edibility", "verdict"
    if not gone.verdict or form.is_stricter(gone.verdict, kept.verdict):
        at = kept.at(*verdict)
        yield f"{at.file}:{at.line}: let the verdict be {gone.verdict or 'given'}; the more dangerous one wins."
    for key in ("severity", "grade_at_most"):
        said = gone.edibility.get(key)
        said = said.get("is") if isinstance(said, dict) else said
        there = kept.edibility.get(key)
        if said and said != (there.get("is") if isinstance(there, dict) else there):
            yield f"{kept.file}: under `edibility` write `{key}` as {gone.name} has it: {said}."
    have = {(each.get("verdict"), each.get("source")) for each in kept.opinions}
    for each in gone.opinions:
        told = each.get("verdict"), each.get("source")
        if told not in have and not form.is_edible(str(told[0])):
            yield f"{kept.file}: add the opinion `{{verdict: {told[0]}, source: {told[1]}}}` of {gone.name}."
    if form.is_edible(kept.verdict):
        for id, states in gone.accept_only.items():
            if not _within(kept.accept_only.get(id), states):
                yield f"{kept.file}: let `accept_only` have no more of `{id}` than {gone.name} has."


def _unwarned(gone: Entry, kept: Entry, form: Form) -> Iterator[str]:
    """Yield needs, cautions, poisonings and confusions that the one that stays does not tell."""
    for key in ("needs", "cautions", "syndromes"):
        for word in getattr(gone, key):
            if word not in getattr(kept, key):
                yield f"{kept.file}: under `edibility`, `{key}`, add `{word}`, which {gone.name} has."
    own = words_for(gone) | words_for(kept)
    there = {spelled(each["with"]) for each in kept.confusions}
    for each in gone.confusions:
        if spelled(each["with"]) not in own | there:
            at = gone.at("confusions")
            yield f"{kept.file}: under `confusions` list {each['with']} by this name, as {at.file}:{at.line} does."
    for block in REFERRING:
        for index, each in enumerate(kept.value.get(block) or []):
            if spelled(str(each.get("with"))) in words_for(gone):
                at = kept.at(block, index)
                yield f"{at.file}:{at.line}: delete what it says of {gone.name}; nothing is taken for itself."


def words_for(entry: Entry) -> set[str]:
    """Return every word by which an entry may be referred to."""
    names = {spelled(each.name) for each in entry.names()}
    return names | {entry.key, entry.stem} | {name for _, _, name in entry.vernaculars()}


def _unnamed(gone: Entry, kept: Entry) -> Iterator[str]:
    """Yield everyday names that would lead nowhere, and names that the two hold to be different things."""
    there = {name.casefold() for _, _, name in kept.vernaculars()}
    for language, _, word in gone.vernaculars():
        if word.casefold() not in there:
            yield f"{kept.file}: under `vernacular`, `{language}`, add {word}, by which people look for it."
    wrong = {spelled(each.name): each for each in kept.names() if each.role not in {CURRENTLY, FORMERLY}}
    for name in gone.names():
        if spelled(name.name) in wrong:
            at = kept.at(*wrong[spelled(name.name)].path)
            yield f"{at.file}:{at.line}: it calls {name.name} {wrong[spelled(name.name)].role}; decide what it is."
        if name.role not in {CURRENTLY, FORMERLY} and spelled(name.name) == spelled(kept.name):
            at = gone.at(*name.path)
            yield f"{at.file}:{at.line}: it calls {kept.name} {name.role}; decide what it is."


def _narrower(gone: Entry, kept: Entry) -> Iterator[str]:
    """Yield what the one that stays excludes of the looks that the other has, or may have."""
    for id, value in kept.characters.items():
        at, theirs = kept.at_key("characters", id), gone.characters.get(id)
        if theirs is None:
            yield (
                f"{at.file}:{at.line}: {gone.name} says nothing of `{id}`, so it may look otherwise: "
                f"leave `{id}` out here, or say there what is known."
            )
        elif theirs.by_stage.keys() != value.by_stage.keys():
            yield f"{at.file}:{at.line}: give `{id}` by the same ages as {gone.file}, so that the two can be compared."
        else:
            for stage, states in theirs.by_stage.items():
                if not _within(states, value.by_stage[stage]):
                    when = "" if stage == UNSTAGED else f" when {stage}"
                    yield f"{at.file}:{at.line}: widen `{id}`{when} by what {gone.name} has: {_listed(states)}."


def _within(inner: tuple[Any, ...] | None, outer: tuple[Any, ...]) -> bool:
    """Tell whether states, or a low and a high, lie within others; nothing recorded lies within nothing."""
    if not inner:
        return False
    if any(isinstance(each, str) for each in (*inner, *outer)):
        return set(inner) <= set(outer)
    return bool(outer) and min(outer) <= min(inner) and max(inner) <= max(outer)


def _listed(states: Iterable[Any]) -> str:
    return ", ".join(map(str, states))


def in_the_way(gone: Entry, kept: Entry, checklist: Checklist) -> Iterator[str]:
    """Yield what other entries, and ids that have ended, say of the one that goes and cannot say of the other."""
    for entry in checklist.entries:
        if entry is gone or entry is kept:
            continue
        for block in REFERRING:
            yield from _twice_or_dismissed(entry, block, gone, kept, checklist)
        found = [checklist.find(word).one for word in entry.members]
        if gone in found and kept in found:
            at = entry.at("members", found.index(gone))
            yield f"{at.file}:{at.line}: take {gone.name} out of the members; {kept.name} is there too."
        borne = {spelled(each.name) for each in entry.names()} & {spelled(each.name) for each in gone.names()}
        for name in sorted(borne):
            yield f"{entry.file}: it bears {name} as well, so a link could mean two: give it up in one of them."
    for id, each in checklist.retired.items():
        for key in LEADING:
            if {gone.id, kept.id} <= set(each.get(key) or []):
                yield f"{RETIRED}: {id} leads to both; take {gone.id} out there."


def _twice_or_dismissed(entry: Entry, block: str, gone: Entry, kept: Entry, checklist: Checklist) -> Iterator[str]:
    links = [checklist.find(str(each.get("with"))) for each in entry.value.get(block) or []]
    for index, link in enumerate(links):
        if gone not in link.entries:
            continue
        at = entry.at(block, index)
        if block != REFERRING[0]:
            yield f"{at.file}:{at.line}: it answers for {gone.name}: does that hold of {kept.name}? Else delete it."
        elif any(kept in other.entries for other in links):
            yield f"{at.file}:{at.line}: put what it says of {gone.name} to {kept.name}, which is listed too."
        elif len(link.entries) > 1:
            yield f"{at.file}:{at.line}: `{link.word}` may mean several; say which."


LEFT = "What only {file} said of looks, places, months and uses goes with it; the history keeps it."


def united(
    use: Use, kept: Entry, checklist: Checklist, texts: Mapping[str, str], retired: str, since: str
) -> tuple[dict[str, str], str]:
    """Return the texts in which references follow to the entry that stays, that entry's own, and the ended ids.

    Raises EditRefused where a text cannot be edited.
    """
    gone, answer = use.entry, use.outcome.answer
    by = f"{answer.checklist_title or answer.obtained}, asked {answer.checked_on or 'once'}" if answer else ""
    retired = with_retired(retired, gone, kept, since, f"Held to be the same as {kept.name} ({by}).")
    edited = {kept.file: texts[kept.file]}
    for file, paths in _leading_to(gone, checklist).items():
        if file != gone.file:
            words = {path: kept.id if word == gone.id else kept.name for path, word in paths.items()}
            edited[file] = replace_words(texts[file], words)
    return edited, retired


def _leading_to(gone: Entry, checklist: Checklist) -> dict[str, dict[Path_, str]]:
    """Return by file where an entry is referred to by a word that will lead nowhere once it has gone."""
    found: dict[str, dict[Path_, str]] = defaultdict(dict)
    for entry in checklist.entries:
        for path, word in references(entry):
            link = checklist.find(word)
            if link.one is gone and link.by in {CURRENTLY, "id"}:
                found[entry.file][path] = word
    return found


def names_to_add(gone: Entry, kept: Entry) -> list[Name]:
    """Return the names of the one that goes that the other does not bear, the current one first."""
    there = {spelled(each.name) for each in kept.names()}
    return [each for each in gone.names() if spelled(each.name) not in there]


def with_names(text: str, names: Iterable[Name], after: str) -> str:
    """Return an entry's text with more former names, last; ``after`` is the key behind which they begin."""
    for each in names:
        kind = {} if each.role in {CURRENTLY, FORMERLY} else {"kind": each.role}
        by = {"authorship": each.authorship} if each.authorship else {}
        item = {"name": each.name, **by, **kind} if by or kind else each.name
        text = add_item(text, ("former_names",), item, after=after)
    return text


def with_retired(text: str, gone: Entry, kept: Entry, since: str, because: str) -> str:
    """Return the text of the ended ids with one more; what led to it leads to the one that stays.

    Raises EditRefused where the text cannot be edited.
    """
    root = read_page(text.encode(), RETIRED).root if text.strip() else None
    given: Retired = plain(root) if root else {}
    led: dict[Path_, str] = {
        (id, key, index): kept.id
        for id, each in given.items()
        for key in LEADING
        for index, word in enumerate(each.get(key) or [])
        if word == gone.id
    }
    if led:
        text = replace_words(text, led)
    said = {"was": gone.name, "replaced_by": [kept.id], "since": since, "because": because}
    return insert_key(text, (), list(given)[-1], gone.id, said) if given else _first(text, gone.id, said)


def _first(text: str, id: str, said: dict[str, Any]) -> str:
    """Return the text with its first ended id; comments stay."""
    above = text.rstrip().removesuffix("{}").rstrip()
    new = f"{above}\n{id}: {written(said)}\n" if above else f"{id}: {written(said)}\n"
    page = read_page(new.encode(), RETIRED)
    if page.troubles or plain(page.root) != {id: said}:
        raise EditRefused(f"{RETIRED} cannot be edited as it stands: write `{id}: {written(said)}` into it.")
    return new
