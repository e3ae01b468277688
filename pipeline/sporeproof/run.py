"""The order of the steps of each command, and the gate: no release with errors."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

from sporeproof.checks.judge import CRASHED, Checked, Progress, judge, silent
from sporeproof.checks.registry import Rule, all_rules
from sporeproof.findings import Trouble
from sporeproof.form.load import Form, FormError, load_form
from sporeproof.names.answers import Recorded, read_answers
from sporeproof.names.outcome import Use, uses
from sporeproof.records.entry import Reading
from sporeproof.records.read import TAXA, Dataset, entry_files, read_companions, read_entries
from sporeproof.tables.resolve import Checklist, references, stem_of
from sporeproof.text.files import replace

# A wheel carries its copy inside the package; a checkout has it beside the pipeline.
HERE = Path(__file__).parent
PACKAGED_SCHEMA = HERE / "schema" if (HERE / "schema").is_dir() else HERE.parents[1] / "schema"


class Stopped(Exception):
    """A command could not do its work; the message says why, in a sentence."""


def schema_of(root: Path) -> Form:
    """Return the form of the dataset's own schema, or of the packaged copy where it has none."""
    own = root / "schema"
    try:
        return load_form(own if own.is_dir() else PACKAGED_SCHEMA)
    except FormError as error:
        raise Stopped(str(error)) from error


def read_whole(root: Path, form: Form, progress: Progress = silent) -> Dataset:
    """Return the dataset below a root folder."""
    files = list(entry_files(root))
    readings = []
    for done, path in enumerate(files, 1):
        readings += read_entries([path], root, form.entry)
        progress("reading", done, len(files))
    return Dataset(readings, read_companions(root, form.companions))


def recorded(root: Path) -> tuple[Recorded, list[Trouble]]:
    """Return the answers on record and the troubles with their file."""
    return read_answers(root / "dataset" / "names.csv", root)


def check(root: Path, paths: Iterable[Path] = (), progress: Progress = silent) -> Checked:
    """Return the findings of every rule over the dataset, or over the named entries and what they touch."""
    form = schema_of(root)
    named = _entries_named(root, paths)
    if named:
        dataset, judged = _named(root, named, form)
    else:
        dataset = read_whole(root, form, progress)
        judged = dataset.readings
    checked = judge(dataset, judged, form, recorded(root), whole=not named, progress=progress)
    checked.schema = "" if (root / "schema").is_dir() else "packaged"
    return checked


def _entries_named(root: Path, paths: Iterable[Path]) -> list[Path]:
    """Return the named entries; a folder, or a file beside the entries, asks for the whole dataset: no entry."""
    named = [path.absolute() for path in paths]
    beside = (root / "dataset").absolute()
    return [] if any(path.is_dir() or path.parent == beside for path in named) else named


def _named(root: Path, paths: list[Path], form: Form) -> tuple[Dataset, list[Reading]]:
    """Read the named entries and those they lead to: by file name if possible, else by reading them all."""
    root = root.absolute()
    judged = read_entries(paths, root, form.entry)
    have = {reading.file: reading for reading in judged}
    words = [word for reading in judged if reading.entry for _, word in references(reading.entry)]
    likely = dict.fromkeys(root / TAXA / f"{stem_of(word)}.yaml" for word in words)
    for reading in read_entries([path for path in likely if path.is_file()], root, form.entry):
        have.setdefault(reading.file, reading)
    known = Checklist(each.entry for each in have.values() if each.entry)
    if not all(known.find(word).one for word in words):
        for reading in read_entries(entry_files(root), root, form.entry):
            have.setdefault(reading.file, reading)
    return Dataset(list(have.values()), read_companions(root, form.companions)), judged




from sporeproof.checks.judge import pairs  # noqa: E402, F401
