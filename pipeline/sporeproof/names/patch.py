"""Plans renames: the smallest edits that carry an entry to its accepted name, with all that refers to it.

A plan changes names, never what is said of a taxon: verdict, needs, cautions and what a confusion claims
stay as they are, letter by letter. Where the answers leave any doubt about the name, or about whom a
reference would mean afterwards, the rename is refused with the reason, and a person decides. What a plan
says is carried out by :mod:`sporeproof.names.journal`.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator
from itertools import chain

from sporeproof.form.load import Form
from sporeproof.names import merge
from sporeproof.names.answers import Answer, Source
from sporeproof.names.choices import ChoiceRefused, Choices, marks_of, offers, settled
from sporeproof.names.outcome import CURRENT, RENAMED, RESPELLED, SPLIT, UNASKED, Use, is_unconfirmed, outcome_of, uses
from sporeproof.names.parting import SEVERAL, steps_apart
from sporeproof.names.planned import Merge, Plan, Refusal, Rename, Step
from sporeproof.names.skeleton import misspelled, rank_of
from sporeproof.records.entry import Entry, Reading
from sporeproof.records.read import TAXA
from sporeproof.tables.resolve import Checklist, references, spelled, stem_of
from sporeproof.text.edit import EditRefused, Path_, add_item, insert_key, remove, replace_words

CURRENTLY = "current"
FORMERLY = "former"


def plan(
    readings: Iterable[Reading],
    checklist: Checklist,
    source: Source,
    form: Form,
    *,
    unconfirmed: bool = False,
    only: Iterable[str] = (),
    choices: Choices | None = None,
) -> Plan:
    """Return the renames that the answers call for, of all entries or of those with a name or id in ``only``.

    With ``choices``, return what a person chose and nothing else; raises :class:`ChoiceRefused` where no entry bears
    the name. Answers from general knowledge only are followed with ``unconfirmed``. A second plan, made after the
    first was carried out, has no steps.
    """
    draft = _Draft(list(readings), checklist, source, form, unconfirmed)
    if choices:
        for old, new in choices.accept.items():
            draft.choose(old, new, choices)
        return draft.plan(choices)
    wanted = set(map(spelled, only))
    for use in draft.asked:
        if not wanted or {spelled(use.name.name), use.entry.key} & wanted:
            draft.take(use)
    return draft.plan(Choices())


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
        self.current = [use for use in uses(self.entries.values(), checklist, source, form) if use.is_current]
        self.asked = [use for use in self.current if use.outcome.outcome == RENAMED]
        self.chosen: set[str] = set()
        self.merges: list[Merge] = []
        self.merged: set[str] = set()
        self.retired = ""
        self.checklist = checklist
        self.led_to = Counter(spelled(_accepted(use)) for use in self.asked)
        self.referring = _referring(checklist)
        self.bearers: dict[str, list[Entry]] = defaultdict(list)
        for entry in checklist.entries:
            for name in entry.names():
                self.bearers[spelled(name.name)].append(entry)

    def choose(self, old: str, new: str, choices: Choices) -> None:
        """Take what a person chose for one current name into the plan, or note why not and what to do."""
        found = [use for use in self.current if old in {spelled(use.name.name), use.entry.key}]
        if len(found) != 1:
            raise ChoiceRefused(
                f"No entry bears {old} as its current name, so none is chosen for it."
                if not found
                else f"Several entries bear the name {old}: name one by its id."
            )
        use, reason = settled(found[0], new, self.form)
        todo: tuple[str, ...] = ()
        if not reason and use.outcome.outcome == SPLIT:
            parts = [each.name for each in offers(found[0], self.form)]
            reason, todo = SEVERAL, tuple(steps_apart(use.entry, parts, self.checklist))
        if reason:
            self.refused.append(Refusal(use.entry, use.entry.name, new, use.at, reason, todo))
            return
        self.chosen.add(use.entry.file)
        into = [each for each in self.others(_accepted(use), use.entry) if spelled(each.name) == _accepted(use)]
        if into:
            self.merge(use, into[0], choices)
        else:
            self.take(use)

    def merge(self, use: Use, kept: Entry, choices: Choices) -> None:
        """Take a merge into the plan, or note all that a person must do first."""
        gone = use.entry
        self.retired = self.retired or choices.retired
        reason = next(chain(_doubts(use, self.form, self.unconfirmed), self.unsound(use)), "")
        if {gone.file, kept.file} & (self.merged | {each.entry.file for each in self.renames}):
            reason = reason or f"{gone.name} or {kept.name} changes in this run already: run it again for this one."
        if not reason and not choices.since:
            reason = f"{gone.key} ends with this: say with --since from which version of the data on, such as 1.2.0."
        todo = (*merge.lacking(gone, kept, self.form), *merge.in_the_way(gone, kept, self.checklist))
        if not reason and todo:
            reason = f"{kept.name} must first say all that {gone.name} warns of. No program writes that for you."
        if not reason:
            try:
                texts, self.retired = merge.united(use, kept, self.checklist, self.texts, self.retired, choices.since)
                after = _place_of_former(kept, kept.authorship, self.form)
                texts[kept.file] = merge.with_names(texts[kept.file], merge.names_to_add(gone, kept), after)
            except EditRefused as error:
                reason = str(error)
            else:
                self.texts.update(texts)
                self.files[gone.file] = ""
                self.merged |= {gone.file, kept.file}
                self.merges.append(Merge(gone, kept, (merge.LEFT.format(file=gone.file),)))
        if reason:
            self.refused.append(Refusal(gone, gone.name, kept.name, use.at, reason, todo))

    def take(self, use: Use) -> None:
        """Take a rename into the plan, or note why not; a refused one leaves no trace in the texts."""
        entry, new = use.entry, _accepted(use)
        reason = next(self.reasons(use), "")
        if not reason:
            authorship, notes = _authorship(use)
            try:
                self.texts.update(self.edited(use, new, authorship))
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
        if use.entry.file not in self.chosen and (marks := marks_of(use.name.name, use.name.authorship)):
            yield f"{use.name.name} says `{marks[0]}` of itself: a person decides, with --accept."
        if use.entry.file in self.merged:
            yield f"{use.entry.name} changes in this run already: run it again for this one."
        yield from self.contradictions(use)
        yield from self.obstacles(use)

    def contradictions(self, use: Use) -> Iterator[str]:
        """Yield where answers, or answers and entries, speak against each other."""
        entry, new = use.entry, _accepted(use)
        yield from self.unsound(use)
        if entry.file in self.chosen:
            yield from self.rivals(use)
        elif self.led_to[spelled(new)] > 1:
            yield f"Several entries lead to {new}: whether they are one taxon is for a person to decide."
        for other in self.others(new, entry):
            yield f"{new} is already a name of {other.name} ({other.file}): a person decides."
        for each in entry.names():
            if spelled(each.name) in {new, spelled(entry.name)} and each.role not in {CURRENTLY, FORMERLY}:
                yield f"This entry itself calls {each.name} {each.role}: a person decides."

    def unsound(self, use: Use) -> Iterator[str]:
        """Yield why nothing can be trusted here: answers that contradict each other, entries that cannot be read."""
        new = _accepted(use)
        known = outcome_of(new, "", self.source, self.form).outcome
        if known not in {CURRENT, UNASKED}:
            yield f"The answers on record contradict each other: the accepted name {new} is itself {known}."
        if self.unread:
            yield f"{self.unread[0]} cannot be read whole, so references in it would be lost: mend it first."

    def rivals(self, use: Use) -> Iterator[str]:
        """Yield other entries that lead to a chosen name and are more dangerous: under it, they come first."""
        new = _accepted(use)
        for each in self.current:
            other = each.entry
            leads_there = other is not use.entry and _accepted(each) == new != spelled(other.name)
            if leads_there and self.form.is_stricter(other.verdict, use.entry.verdict):
                yield (
                    f"{other.name} leads to {new} as well and is {other.verdict} here: choose the name for it first "
                    f'(--accept "{other.name}={new}"), then for {use.entry.name}.'
                )

    def obstacles(self, use: Use) -> Iterator[str]:
        """Yield what keeps the edit from being made safely in this dataset."""
        entry, file = use.entry, _file_of(use.entry, _accepted(use), self.form)
        for other in self.others(spelled(entry.name), entry):
            yield f"{entry.name} is a name of {other.name} ({other.file}) too, so a link could mean both."
        if file != entry.file and file in self.taken:
            yield f"{file} is there already."

    def others(self, name: str, entry: Entry) -> list[Entry]:
        """Return the other entries that bear a name, now or formerly."""
        return [other for other in self.bearers[name] if other is not entry]

    def edited(self, use: Use, new: str, authorship: str) -> dict[str, str]:
        """Return the texts that change when an entry is renamed; raises EditRefused where one cannot."""
        entry = use.entry
        texts = {
            file: replace_words(self.texts[file], dict.fromkeys(paths, new))
            for file, paths in self.referring[entry.file].items()
        }
        own = texts.get(entry.file, self.texts[entry.file])
        return {
            **texts,
            entry.file: _renamed(own, entry, (new, authorship), _kind_of_old(use, new, self.form), self.form),
        }

    def plan(self, choices: Choices) -> Plan:
        """Return what has been taken into the plan, the files that change in the order of their names."""
        steps = [
            Step(was, file, entry.text.encode(), self.texts[was].encode() if file else b"")
            for was, file in sorted(self.files.items())
            if (entry := self.entries[was]).text != self.texts[was] or was != file
        ]
        if self.merges:
            retired = Step(merge.RETIRED, merge.RETIRED, choices.retired.encode(), self.retired.encode())
            steps.insert(0, retired)
        return Plan(self.renames, self.refused, steps, self.merges)


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


def _kind_of_old(use: Use, new: str, form: Form) -> str:
    """Return what kind of former name the old one becomes, empty for the usual: one that was spelt wrong is a slip."""
    if use.outcome.outcome != RESPELLED or new.split(maxsplit=1)[0] != use.name.name.split()[0]:
        return ""
    return next((each for each in form.vocabularies["name-kinds"] if form.flagged("name-roles", each, "misspelt")), "")


def _renamed(text: str, entry: Entry, given: tuple[str, str], kind: str, form: Form) -> str:
    """Return an entry's text with the new name and authors, and the old name first among the former ones."""
    new, authorship = given
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
    told = {key: word for key, word in (("authorship", by), ("kind", kind)) if word}
    old = {"name": entry.name, **told} if told else entry.name
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
