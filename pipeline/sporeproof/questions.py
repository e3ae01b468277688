"""What a person asks of a dataset: to show one species, to compare two, to say what is not ruled out.

The answers come as text for people or as JSON. Nothing here judges the dataset, and nothing is written.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass, replace
from pathlib import Path

from sporeproof.form.load import Form
from sporeproof.records.entry import Entry
from sporeproof.records.read import Dataset
from sporeproof.report.summary import counted
from sporeproof.run import (
    Stopped,
    checklist_of,
    collector_paused,
    nothing_half_done,
    read_whole,
    schema_of,
    unread_files,
)
from sporeproof.tables.resolve import Checklist
from sporeproof.text.nearest import did_you_mean

JSON = "json"


@dataclass(frozen=True, slots=True)
class Opened:
    """A dataset that was read to be asked, with its form and the index of its entries."""

    form: Form
    dataset: Dataset
    checklist: Checklist

    def one_of(self, name: str) -> Entry:
        """Return the one entry that a name or id leads to; where there is none, or several, say what to ask for."""
        found = self.checklist.find(name).entries
        if len(found) == 1:
            return found[0]
        if not found:
            raise Stopped(" ".join(each for each in self._nobody(name) if each))
        choices = ", ".join(f"{each.name} ({each.key})" for each in found)
        raise Stopped(f"`{name}` may mean several entries: {choices}. Ask for one of them.")

    def whole(self, entry: Entry) -> None:
        """Stop where an entry cannot be read in full."""
        if not entry.sound:
            raise Stopped(f"{entry.file} cannot be read in full, so not all can be compared. Check it first.")

    def all_read(self, done: str) -> None:
        """Stop where any file cannot be read whole: a suspect that is not compared would raise a grade or a recall.

        ``done`` is the participle of what is not done then, such as "proved".
        """
        if told := self.unread():
            raise Stopped(f"{told} A suspect may be among them, so nothing is {done} until then.")

    def unread(self) -> str:
        """Name the files that could not be read whole, in a sentence; empty where there are none."""
        broken = unread_files(self.dataset)
        if not broken:
            return ""
        return f"Not read whole, so what they say is missing here: {', '.join(broken)}. Run `sporeproof check`."

    def _nobody(self, name: str) -> list[str]:
        everyday = [word for entry in self.checklist.entries for _, _, word in entry.vernaculars()]
        unread = sum(each.entry is None for each in self.dataset.readings)
        return [
            f"No entry bears the name `{name}`, now or formerly.",
            did_you_mean(name, [*self.checklist.words(), *everyday]),
            f"{counted(unread, 'file')} could not be read; run `sporeproof check`." if unread else "",
        ]


@collector_paused()
def opened(root: Path) -> Opened:
    """Return the dataset below a root folder, ready to be asked."""
    form = schema_of(root)
    nothing_half_done(root)
    dataset = read_whole(root, form)
    return Opened(form, dataset, checklist_of(dataset))


def show(root: Path, name: str, format_: str = "text") -> str:
    """Return what the dataset says of one species, found by any of its names: as text, or as JSON."""
    from sporeproof.report.species import species_json, species_text

    asked = opened(root)
    tell = species_json if format_ == JSON else species_text
    protections = asked.dataset.companions["protections"].value
    return tell(asked.one_of(name), asked.checklist, asked.form, protections, name)


def compare(root: Path, one: str, other: str, format_: str = "text") -> str:
    """Return two species side by side, each found by any of its names: as text, or as JSON."""
    from sporeproof.confusion.pairing import paired
    from sporeproof.report.comparison import comparison_json, comparison_text

    asked = opened(root)
    a, b = asked.one_of(one), asked.one_of(other)
    if a is b:
        raise Stopped(f"`{one}` and `{other}` are both {a.name} here; there is nothing to compare.")
    for each in (a, b):
        asked.whole(each)
    pair = paired(a, b, asked.form, asked.checklist)
    return comparison_json(pair) if format_ == JSON else comparison_text(pair, asked.form)


def proof(root: Path, name: str, format_: str = "text") -> str:
    """Return what to look at before an edible species is accepted, and what that does not exclude."""
    from sporeproof.confusion.proved import proof_of
    from sporeproof.report.proof_text import proof_markdown, proof_text
    from sporeproof.report.proof_told import proof_json

    asked = opened(root)
    entry = asked.one_of(name)
    if not asked.form.is_edible(entry.verdict):
        title = asked.form.vocabularies["verdicts"][entry.verdict].title.lower()
        raise Stopped(f"{entry.name} is {title} here, so there is nothing to prove: it is not to be eaten.")
    asked.all_read("proved")
    tell = {"text": proof_text, "markdown": proof_markdown, JSON: proof_json}[format_]
    return tell(proof_of(entry, asked.checklist, asked.form), asked.form)


def proofs(root: Path, format_: str = "text") -> str:
    """Return the proofs of all edible species as one table."""
    from sporeproof.confusion.proved import proofs_of
    from sporeproof.report.proof_table import proofs_json, proofs_markdown, proofs_text

    asked = opened(root)
    asked.all_read("proved")
    tell = {"text": proofs_text, "markdown": proofs_markdown, JSON: proofs_json}[format_]
    return tell(proofs_of(asked.checklist.entries, asked.checklist, asked.form), asked.form)


def calibrate(root: Path, format_: str = "text") -> tuple[str, bool]:
    """Return the threshold of similarity that the listed confusions propose, and whether the committed one may stay."""
    from sporeproof.confusion.calibration import calibrated
    from sporeproof.confusion.suspected import Suspicion
    from sporeproof.report.calibration_text import calibration_json, calibration_text

    asked = opened(root)
    asked.all_read("calibrated")
    found = calibrated(Suspicion(asked.checklist, asked.form, asked.dataset.threshold))
    told = calibration_json(found) if format_ == JSON else calibration_text(found, asked.form)
    return told, not found.is_too_high


def gaps(root: Path, about: str, top: int, format_: str = "text") -> str:
    """Return the missing values that would settle most pairs, of all species or of one."""
    from sporeproof.confusion.gaps import gaps as gaps_of
    from sporeproof.report.gaps_text import gaps_json, gaps_text

    asked = opened(root)
    found = gaps_of(asked.checklist, asked.form, asked.one_of(about) if about else None)
    if format_ == JSON:
        return gaps_json(found, asked.form, top)
    return gaps_text(found, asked.form, top) + (f"\n{told}\n" if (told := asked.unread()) else "")


@dataclass(frozen=True, slots=True)
class Find:
    """A find beyond what was seen of it: age, what cannot be looked at; region and month only warn."""

    stage: str = ""
    cannot_see: tuple[str, ...] = ()
    region: str = ""
    month: int = 0


def doubt(root: Path, seen: Iterable[str], find: Find, format_: str = "text") -> tuple[str, bool]:
    """Return what is not ruled out by what was seen, as text or as JSON, and whether that could be judged at all."""
    from sporeproof.confusion.doubt import doubt as doubt_of
    from sporeproof.confusion.observation import observe
    from sporeproof.report.doubts import doubt_json, doubt_text

    asked = opened(root)
    shape = asked.form.entry.keys["region"]
    if find.region and not re.fullmatch(shape.pattern, find.region):
        raise Stopped(f"`{find.region}` is not {shape.looks_like}.")
    observation = observe(seen, asked.form, find.stage, find.cannot_see)
    answer = doubt_of(observation, asked.checklist, asked.form, find.region, find.month)
    if told := asked.unread():
        answer = replace(answer, warnings=(told, *answer.warnings))
    tell = doubt_json if format_ == JSON else doubt_text
    return tell(answer, asked.form), not answer.observation.unclear
