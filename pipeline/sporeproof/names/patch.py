"""Plans renames: the smallest edits that carry an entry to its accepted name, with all that refers to it.

A plan changes names, never what is said of a taxon: verdict, needs, cautions and what a confusion claims
stay as they are, letter by letter. Where the answers leave any doubt about the name, or about whom a
reference would mean afterwards, the rename is refused with the reason, and a person decides. What a plan
says is carried out by :mod:`sporeproof.names.journal`.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field

from sporeproof.findings import Mark
from sporeproof.form.load import Form
from sporeproof.names.answers import Answer, Source
from sporeproof.names.outcome import CURRENT, RENAMED, UNASKED, Use, is_unconfirmed, outcome_of, uses
from sporeproof.names.skeleton import misspelled, rank_of
from sporeproof.records.entry import Entry, Reading
from sporeproof.records.read import TAXA
from sporeproof.tables.resolve import Checklist, references, spelled, stem_of
from sporeproof.text.edit import EditRefused, Path_, add_item, insert_key, remove, replace_words

CURRENTLY = "current"
FORMERLY = "former"


@dataclass(frozen=True, slots=True)
class Step:
    """One file of a plan: what stood in ``was`` gives way to what is to stand in ``file``, often the same."""

    was: str
    file: str
    before: bytes = field(repr=False)
    after: bytes = field(repr=False)


@dataclass(frozen=True, slots=True)
class Rename:
    """An entry that gets its accepted name, and what the person who asked for it should know."""

    entry: Entry
    name: str
    authorship: str
    file: str
    answer: Answer
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Refusal:
    """A rename that is not made: the entry, its name and where that stands, the accepted name, and why not."""

    entry: Entry
    name: str
    accepted: str
    at: Mark
    reason: str


@dataclass(frozen=True, slots=True)
class Plan:
    """What is renamed, what is not, and the files that change; without steps there is nothing to do."""

    renames: list[Rename]
    refused: list[Refusal]
    steps: list[Step]


def plan(
    readings: Iterable[Reading],
    checklist: Checklist,
    source: Source,
    form: Form,
    *,
    unconfirmed: bool = False,
    only: Iterable[str] = (),
) -> Plan:
    """Return the renames that the answers call for, of all entries or of those with a name or id in ``only``.

    Answers from general knowledge only are followed with ``unconfirmed``. A second plan, made after the first
    was carried out, has no steps.
    """
    draft = _Draft(list(readings), checklist, source, form, unconfirmed)
    wanted = set(map(spelled, only))
    for use in draft.asked:
        if not wanted or {spelled(use.name.name), use.entry.key} & wanted:
            draft.take(use)
    return Plan(draft.renames, draft.refused, draft.steps())


class _Draft:
    """A plan in the making: the texts as they would stand, and who already moves where."""

    def __init__(
        self, readings: list[Reading], checklist: Checklist, source: Source, form: Form, unconfirmed: bool
    ) -> None:
        self.source, self.form, self.unconfirmed = source, form, unconfirmed
        self.renames: list[Rename] = []
        self.refused: list[Refusal] = []
        self.entries = {entry.file: entry for entry in checklist.entries}
        self.texts = {file: entry.text for file, entry in self.entries.items()}
        self.files = {file: file for file in self.entries}
        self.taken = {reading.file for reading in readings}
        self.unread = [each.file for each in readings if each.entry is None or not each.entry.sound]
        self.asked = [use for use in uses(self.entries.values(), checklist, source, form) if _is_stale(use)]
        self.led_to = Counter(spelled(_accepted(use)) for use in self.asked)
        self.referring = _referring(checklist)
        self.bearers: dict[str, list[Entry]] = defaultdict(list)
        for entry in checklist.entries:
            for name in entry.names():
                self.bearers[spelled(name.name)].append(entry)

    def take(self, use: Use) -> None:
        """Take a rename into the plan, or note why not; a refused one leaves no trace in the texts."""
        entry, new = use.entry, _accepted(use)
        reason = next(self.reasons(use), "")
        if not reason:
            authorship, notes = _authorship(use)
            try:
                self.texts.update(self.edited(entry, new, authorship))
            except EditRefused as error:
                reason = str(error)
            else:
                self.files[entry.file] = file = _file_of(entry, new, self.form)
                self.taken.add(file)
                self.renames.append(Rename(entry, new, authorship, file, _answer(use), notes))
        if reason:
            self.refused.append(Refusal(entry, entry.name, new, use.at, reason))

    def reasons(self, use: Use) -> Iterator[str]:
        """Yield why a rename is not made, the gravest first."""
        yield from _doubts(use, self.form, self.unconfirmed)
        yield from self.contradictions(use)
        yield from self.obstacles(use)

    def contradictions(self, use: Use) -> Iterator[str]:
        """Yield where answers, or answers and entries, speak against each other."""
        entry, new = use.entry, _accepted(use)
        known = outcome_of(new, "", self.source, self.form).outcome
        if known not in {CURRENT, UNASKED}:
            yield f"The answers on record contradict each other: the accepted name {new} is itself {known}."
        if self.led_to[spelled(new)] > 1:
            yield f"Several entries lead to {new}: whether they are one taxon is for a person to decide."
        for other in self.others(new, entry):
            yield f"{new} is already a name of {other.name} ({other.file}): a person decides."
        for each in entry.names():
            if spelled(each.name) in {new, spelled(entry.name)} and each.role not in {CURRENTLY, FORMERLY}:
                yield f"This entry itself calls {each.name} {each.role}: a person decides."

    def obstacles(self, use: Use) -> Iterator[str]:
        """Yield what keeps the edit from being made safely in this dataset."""
        entry, file = use.entry, _file_of(use.entry, _accepted(use), self.form)
        if self.unread:
            yield f"{self.unread[0]} cannot be read whole, so references in it would be lost: mend it first."
        for other in self.others(spelled(entry.name), entry):
            yield f"{entry.name} is a name of {other.name} ({other.file}) too, so a link could mean both."
        if file != entry.file and file in self.taken:
            yield f"{file} is there already."

    def others(self, name: str, entry: Entry) -> list[Entry]:
        """Return the other entries that bear a name, now or formerly."""
        return [other for other in self.bearers[name] if other is not entry]

    def edited(self, entry: Entry, new: str, authorship: str) -> dict[str, str]:
        """Return the texts that change when an entry is renamed; raises EditRefused where one cannot."""
        texts = {
            file: replace_words(self.texts[file], dict.fromkeys(paths, new))
            for file, paths in self.referring[entry.file].items()
        }
        own = texts.get(entry.file, self.texts[entry.file])
        return {**texts, entry.file: _renamed(own, entry, new, authorship, self.form)}

    def steps(self) -> list[Step]:
        """Return the files that change, in the order of their names."""
        return [
            Step(was, file, entry.text.encode(), self.texts[was].encode())
            for was, file in sorted(self.files.items())
            if (entry := self.entries[was]).text != self.texts[was] or was != file
        ]


def _is_stale(use: Use) -> bool:
    return use.is_current and use.outcome.outcome == RENAMED


def _answer(use: Use) -> Answer:
    return use.outcome.answer or Answer(use.name.name)


def _accepted(use: Use) -> str:
    return spelled(_answer(use).accepted_name)


def _referring(checklist: Checklist) -> dict[str, dict[str, list[Path_]]]:
    """Return, by an entry's file, where it is referred to by its current name, or by its file's stem."""
    found: dict[str, dict[str, list[Path_]]] = defaultdict(lambda: defaultdict(list))
    for entry in checklist.entries:
        for path, word in references(entry):
            link = checklist.find(word)
            if link.one and (link.by == CURRENTLY or (link.by == "id" and word != link.one.id)):
                found[link.one.file][entry.file].append(path)
    return found


def _doubts(use: Use, form: Form, unconfirmed: bool) -> Iterator[str]:
    """Yield why the answer alone does not allow the rename."""
    old, new = use.name.name, _accepted(use)
    if not new or spelled(old) == new:
        yield f"The answer on record gives no other name for {old}."
    elif wrong := misspelled(new, form):
        yield f"The accepted name `{new}` is not well formed: {wrong}."
    elif rank_of(new, form) != rank_of(old, form):
        yield f"{new} is of another rank than {old}: what the entry speaks of would change."
    if is_unconfirmed(_answer(use), form) and not unconfirmed:
        yield f"That {old} is {new} today is general knowledge only; --unconfirmed takes it all the same."


def _authorship(use: Use) -> tuple[str, tuple[str, ...]]:
    """Return the authorship of the accepted name, from the answer or from the entry's own former names."""
    new = _accepted(use)
    former = (each.authorship for each in use.entry.names() if spelled(each.name) == new)
    given = _answer(use).accepted_authorship.strip() or next(former, "")
    if given or not use.entry.authorship:
        return given, ()
    return "", (
        f"The answer gives no authorship for {new}, and {use.entry.authorship} belongs to {use.entry.name}: "
        "it went to former_names with that name. Add the right one under `authorship`.",
    )


def _file_of(entry: Entry, new: str, form: Form) -> str:
    """Return the file that the new name asks for; a group keeps the ending of its file."""
    stem, old = stem_of(new), stem_of(entry.name)
    if form.flagged("ranks", entry.rank, "collective") and entry.stem.startswith(old):
        stem += entry.stem.removeprefix(old)
    return f"{TAXA}/{stem}.yaml"


def _renamed(text: str, entry: Entry, new: str, authorship: str, form: Form) -> str:
    """Return an entry's text with the new name, and the old one first among the former names."""
    text = replace_words(text, {("name",): new})
    if authorship and entry.authorship:
        text = replace_words(text, {("authorship",): authorship})
    elif authorship:
        text = insert_key(text, (), "name", "authorship", authorship)
    elif entry.authorship:
        text = remove(text, ("authorship",))
    there = [each for each in entry.names() if each.role != CURRENTLY]
    again = [each for each in there if spelled(each.name) in {new, spelled(entry.name)}]
    by = entry.authorship or next((each.authorship for each in again if spelled(each.name) != new), "")
    old = {"name": entry.name, "authorship": by} if by else entry.name
    after = _place_of_former(entry, authorship, form)
    text = add_item(text, ("former_names",), old, first=True, after=after)
    for index in sorted((int(each.path[1]) + 1 for each in again), reverse=True):
        text = remove(text, ("former_names", index))
    return text


def _place_of_former(entry: Entry, authorship: str, form: Form) -> str:
    """Return the last of the entry's keys that stand before the former names in the schema."""
    order = list(form.entry.keys)
    there = (entry.value.keys() - {"authorship"}) | ({"authorship"} if authorship else set())
    return [key for key in order[: order.index("former_names")] if key in there][-1]
