"""The order of the steps of each command, and the gate: no release with errors."""

from __future__ import annotations

import gc
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

from sporeproof.checks.judge import CRASH_MEND, CRASH_WHY, CRASHED, Checked, Progress, judge, silent
from sporeproof.checks.registry import Rule, all_rules
from sporeproof.findings import Level, Trouble
from sporeproof.form.load import Form, FormError, load_form
from sporeproof.names import journal, skeleton
from sporeproof.names.answers import Recorded, read_answers
from sporeproof.names.outcome import filled
from sporeproof.parts import in_parts
from sporeproof.records.entry import Reading
from sporeproof.records.read import Dataset, entry_files, read_companions, read_entries
from sporeproof.report.summary import counted
from sporeproof.tables import numbers
from sporeproof.tables.build import Facts, Tables, build
from sporeproof.tables.resolve import Checklist
from sporeproof.text import files
from sporeproof.text.nearest import did_you_mean

if TYPE_CHECKING:
    from sporeproof.confusion.proof import Proof
    from sporeproof.confusion.statistics import Figures
    from sporeproof.confusion.suspected import Suspicion
    from sporeproof.release.publish import Published

# A wheel carries its copy inside the package; a checkout has it beside the pipeline.
HERE = Path(__file__).parent
PACKAGED_SCHEMA = HERE / "schema" if (HERE / "schema").is_dir() else HERE.parents[1] / "schema"


class Stopped(Exception):
    """A command could not do its work; the message says why, in a sentence."""


def schema_of(root: Path) -> Form:
    """Return the form of the dataset's own schema, or of the packaged copy where it has none."""
    own = (root / "schema").absolute()
    try:
        return load_form(own if own.is_dir() else PACKAGED_SCHEMA)
    except FormError as error:
        raise Stopped(str(error)) from error


def read_whole(root: Path, form: Form, progress: Progress = silent) -> Dataset:
    """Return the dataset below a root folder."""
    paths = list(entry_files(root))
    parts = in_parts(
        lambda part: read_entries(part, root, form.entry), paths, lambda done: progress("reading", done, len(paths))
    )
    return Dataset([each for part in parts for each in part], read_companions(root, form.companions))


def recorded(root: Path) -> tuple[Recorded, list[Trouble]]:
    """Return the answers on record and the troubles with their file."""
    return read_answers(root / "dataset" / "names.csv", root)


@contextmanager
def collector_paused() -> Iterator[None]:
    """What a command reads stays until its end; to look for garbage among it costs a third of the time."""
    was_on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_on:
            gc.enable()


@collector_paused()
def check(
    root: Path,
    paths: Iterable[Path] = (),
    progress: Progress = silent,
    *,
    with_statistics: bool = False,
    with_grades: bool = False,
) -> Checked:
    """Return the findings of every rule over the dataset, or over the named entries and what they touch."""
    form = schema_of(root)
    nothing_half_done(root)
    named = _entries_named(root, paths)
    if named:
        dataset, judged = _named(root, named, form)
    else:
        dataset = read_whole(root, form, progress)
        judged = dataset.readings
    graded = with_grades and not unread_files(dataset)
    checked = judge(dataset, judged, form, recorded(root), whole=not named, progress=progress, graded=graded)
    checked.schema = "" if (root / "schema").is_dir() else "packaged"
    if with_statistics:
        from sporeproof.confusion.statistics import STATISTICS_TABLES, statistics

        facts = Facts(
            Checklist(each.entry for each in judged if each.entry), form, dataset.companions["sources"].value, []
        )
        checked.statistics = statistics(build(facts, STATISTICS_TABLES), form)
    if with_grades:
        checked.statistics += _grades(dataset, checked.proofs, form)
    return checked


NO_GRADES = (
    "No grades: they need every entry to be read whole, since one that is not may be a suspect. Mend these first:"
)


def _grades(dataset: Dataset, proofs: list[Proof], form: Form) -> list[Figures]:
    """Return the grades, or in their place the files that could not be read whole."""
    from sporeproof.confusion.proved import grades
    from sporeproof.confusion.statistics import Figures

    if unread := unread_files(dataset):
        return [Figures(NO_GRADES, ("file",), [(file,) for file in unread])]
    return grades(proofs, form)


def unread_files(dataset: Dataset) -> list[str]:
    """Return the files of entries that could not be read whole: as suspects they are missing or say too little."""
    return [each.file for each in dataset.readings if each.entry is None or not each.entry.sound]


def _entries_named(root: Path, paths: Iterable[Path]) -> list[Path]:
    """Return the named entries; a folder, or a file beside the entries, asks for the whole dataset: no entry."""
    named = [path.absolute() for path in paths]
    beside = (root / "dataset").absolute()
    return [] if any(path.is_dir() or path.parent == beside for path in named) else named


def _named(root: Path, paths: list[Path], form: Form) -> tuple[Dataset, list[Reading]]:
    """Read the named entries, and all others: any of them may be one that these can be taken for."""
    judged = read_entries(paths, root.absolute(), form.entry)
    have = {reading.file: reading for reading in judged}
    whole = read_whole(root.absolute(), form)
    for reading in whole.readings:
        have.setdefault(reading.file, reading)
    return Dataset(list(have.values()), whole.companions), judged


def checklist_of(dataset: Dataset) -> Checklist:
    """Return the index of a dataset's entries, with its retired ids and its sources."""
    return Checklist(dataset.entries, dataset.companions["retired"].value, dataset.companions["sources"].value)


def new(root: Path, name: str, authorship: str = "") -> str:
    """Write a skeleton entry and return its file's name from the root."""
    form = schema_of(root)
    if borne := checklist_of(read_whole(root, form)).find(name).entries:
        raise Stopped(f"{borne[0].file} bears the name {name} already, now or formerly: edit that entry.")
    try:
        file, text = skeleton.skeleton(name, form, authorship)
        return files.name_of(skeleton.write_new(root, file, text), root)
    except skeleton.NameRefused as error:
        raise Stopped(str(error)) from error


def number(root: Path) -> list[str]:
    """Give the new entries their ids; return what was given, in words."""
    dataset = read_whole(root, schema_of(root))
    try:
        given = numbers.number(dataset.readings, dataset.companions["retired"])
        numbers.write_numbers(given, root)
    except numbers.NotNumbered as error:
        raise Stopped(str(error)) from error
    return [f"{id}  {entry.name}  {entry.file}" for entry, id in given] or ["Every entry has its number."]


@collector_paused()
def release(
    root: Path, previous: Path | None, out: Path, progress: Progress = silent, *, key: Path | None = None
) -> Checked | list[str]:
    """Publish the dataset below ``out``; return what was done, or the check that stands in the way.

    With a private ``key`` the checksums of the release are signed.
    """
    form = schema_of(root)
    nothing_half_done(root)
    dataset = read_whole(root, form, progress)
    answers = recorded(root)
    checked = judge(dataset, dataset.readings, form, answers, progress=progress, graded=True)
    if checked.has_errors:
        return checked
    from sporeproof.confusion.suspected import Suspicion

    suspicion = Suspicion(checklist_of(dataset), form, dataset.threshold)
    tables = build_filled(dataset, answers[0], checked.proofs, suspicion, form)
    figures = _figures(checked.proofs, suspicion, form)
    done = _published(dataset, tables, figures, form, root, previous, out)
    signed = [_signed(done.folder, key)] if key else []
    return [*_release_told(checked, done), *signed]


def _figures(proofs: list[Proof], suspicion: Suspicion, form: Form) -> list[Figures]:
    """Return what the engine comes to in figures; stop where a list lets through what it must stop."""
    from sporeproof.confusion.calibration import calibrated, calibration_figures
    from sporeproof.confusion.passing import let_through, passing, rates
    from sporeproof.confusion.proved import grades

    drawn = passing(proofs, suspicion.suspects.entries, form)
    if leaks := let_through(drawn, form):
        raise Stopped(
            "\n".join(
                f"{each.passed} of {each.drawn} drawn fruitbodies of {each.suspect.name} ({each.suspect.verdict}) pass "
                f"the list of {each.entry.name} ({each.grade}), which claims to stop them."
                for each in leaks
            )
        )
    return [*grades(proofs, form), *calibration_figures(calibrated(suspicion)), *rates(drawn, form)]


def build_filled(dataset: Dataset, answers: Recorded, proofs: list[Proof], suspicion: Suspicion, form: Form) -> Tables:
    """Return all tables of a dataset, with the outcomes of its names and what the engine says of it filled in."""
    from sporeproof.confusion import proof_rows
    from sporeproof.confusion.tabled import with_pairs

    companions, checklist = dataset.companions, suspicion.checklist
    facts = Facts(checklist, form, companions["sources"].value, companions["protections"].value)
    tables = with_pairs(filled(build(facts), answers, form), checklist, form, suspicion)
    return proof_rows.filled(tables, proofs, form)


def _published(
    dataset: Dataset,
    tables: Tables,
    figures: list[Figures],
    form: Form,
    root: Path,
    previous: Path | None,
    out: Path,
) -> Published:
    from sporeproof.release.publish import publish
    from sporeproof.release.refusals import Refused, ReleaseError

    words = dataset.companions["package"].value
    try:
        return publish(tables, form, words, _licence(root), previous, out, figures)
    except (Refused, ReleaseError) as error:
        raise Stopped(str(error)) from error


def _release_told(checked: Checked, done: Published) -> list[str]:
    state = "written" if done.changed else "unchanged"
    return [
        f"{', '.join(counted(checked.count(each), each) for each in (Level.WARNING, Level.NOTICE))}, no errors.",
        *([f"{done.on_memory} edible verdicts rest on memory alone; the news names them."] if done.on_memory else []),
        f"Version {done.version} {state}: {done.folder}",
        *([f"Because of: {done.because}"] if done.because else []),
        f"{len(done.counts)} tables, {sum(done.counts.values())} rows.",
    ]


def _signed(folder: Path, key: Path) -> str:
    """Sign a release that stands in its place; one without a signature is a release all the same."""
    from sporeproof.release.manifest import SIGNATURE, SUMS
    from sporeproof.release.refusals import ReleaseError
    from sporeproof.release.signature import sign
    from sporeproof.release.write import add_signature

    try:
        add_signature(sign((folder / SUMS).read_bytes(), key), folder)
    except ReleaseError as error:
        raise Stopped(f"The release is written, and not signed. {error}") from error
    return f"Signed: {folder / SIGNATURE}"


def _licence(root: Path) -> str | None:
    """Return the text of the data's licence, or None where there is none."""
    path = root / "dataset" / "LICENSE"
    if not path.is_file():
        return None
    data = files.fetch(path, root)
    try:
        if isinstance(data, bytes):
            return data.decode("utf-8")
    except UnicodeDecodeError:
        pass
    raise Stopped("dataset/LICENSE cannot be read as plain UTF-8 text.")


def nothing_half_done(root: Path) -> None:
    """Raise :class:`Stopped` where renames were begun and not finished."""
    if left := journal.unfinished(root):
        raise Stopped(
            f"{files.name_of(left, root)}: renames were begun and not finished, so entries may not fit together. "
            "Run `sporeproof names apply`, which finishes them."
        )


def explain(code: str) -> list[str]:
    """Return the page of a rule, or the list of all rules where no code is given."""
    rules = all_rules()
    if not code:
        return [f"{rule.code}  ({'/'.join(rule.levels)})  {rule.title}" for rule in rules.values()]
    if code == CRASHED:
        return [f"{CRASHED}  (error)", "", "A rule could not finish.", CRASH_WHY, CRASH_MEND]
    if code not in rules:
        raise Stopped(f"There is no rule `{code}`. {did_you_mean(code, rules)} `sporeproof explain` lists them all.")
    return _page(rules[code])


def _page(rule: Rule) -> list[str]:
    head, _, rest = rule.text.strip().partition("\n")
    return [f"{rule.code}  ({', '.join(rule.levels)})", "", head, rest.rstrip()]


def write_text(path: Path, text: str, root: Path) -> None:
    """Write a report whole or not at all, and never over anything of the dataset."""
    if path.resolve().is_relative_to((root / "dataset").resolve()):
        raise Stopped(f"{path} lies in the dataset; a report there would be taken for part of it. Name another place.")
    try:
        files.replace(path, text.encode())
    except OSError as error:
        raise Stopped(f"{path} cannot be written: {error.strerror}") from error
