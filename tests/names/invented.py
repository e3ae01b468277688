"""A small invented checklist: the genus Fictum does not exist, and nothing said here is true of any fungus.

Its layouts are odd on purpose: block and brackets, quotes, CRLF, no last line end, comments everywhere.
"""

from __future__ import annotations

from functools import cache, lru_cache
from pathlib import Path

from sporeproof import run
from sporeproof.form.load import Form, load_form
from sporeproof.names import patch
from sporeproof.names.answers import Answer, Recorded, written
from sporeproof.records.entry import Reading
from sporeproof.records.read import TAXA, reading_of
from sporeproof.tables.resolve import Checklist
from sporeproof.text.read import read_page

COMMON = """\
# An invented entry. This comment stays.
id: F9001   # so does this
name: 'Fictum commune'
authorship: (Fr.) Nemo      # Fernhollow sheet 4, invented
rank: species
former_names:
  # the oldest last
  - Fictum novum
  - {name: Fictum vulgare, authorship: Nemo}
edibility:
  verdict: edible-with-conditions
  needs: [cook-thoroughly]      # always
  cautions: [deadly-confusion, raw-upsets]
confusions:
  - with: Fictum falsum   # its double
    told_apart_by: [ring]
    note: >-
      Fictum falsum and Fictum commune
      share one log.
  - {with: "Fictum  rarum", hints: [smell]}
review: {state: unreviewed}
"""

FALSE = """\
id: F9002
name: Fictum falsum
authorship: 'Nemo: Fr.'
rank: species
edibility: {verdict: deadly, cautions: [late-signs]} # not touched
confusions: [{with: Fictum commune, note: "Fictum commune is milder"}, {with: Common Feigned Cap}]
not_confused_with:
- because: Too large
  with: Fictum commune   # answered
  source: [common-practice]
review: {state: unreviewed}""".replace("\n", "\r\n")

RARE = """\
{id: new, name: Fictum rarum, rank: species, vernacular: {en: [Rare Feigned Cap]},
 edibility: {verdict: unknown}, # not known
 confusions: [{with: Fictum vulgare, note: by a former name}, {with: F9002}],
 review: {state: unreviewed}}
"""

GENUS = """\
id: F9004
name: Fictum
rank: genus
members:
    - Fictum commune # one
    - 'Fictum falsum'
    - Fictum vulgare
edibility: {verdict: deadly}
review: {state: unreviewed}
"""

ENTRIES = {"fictum-commune": COMMON, "fictum-falsum": FALSE, "fictum-rarum": RARE, "fictum": GENUS}
ANSWERS = [
    Answer("Fictum commune", outcome="renamed", accepted_name="Fictum novum", obtained="registry-taxonomy"),
    Answer("Fictum falsum", "", "renamed", "Mendax dirus", "(Nemo: Fr.) Nemo", obtained="registry-taxonomy"),
    Answer("Fictum rarum", outcome="renamed", accepted_name="Mendax rarus", obtained="compiled"),
    Answer("Fictum vulgare", outcome="renamed", accepted_name="Fictum novum", obtained="compiled"),
]


def readings_of(entries: dict[str, str], form: Form) -> list[Reading]:
    """Return the readings of some texts by file stem; one that was read before is not read again."""
    return [_reading_of(stem, text, form.folder) for stem, text in entries.items()]


@lru_cache(maxsize=512)
def _reading_of(stem: str, text: str, schema: Path) -> Reading:
    return reading_of(read_page(text.encode(), f"{TAXA}/{stem}.yaml"), _form(schema).entry)


_form = cache(load_form)


def planned(entries: dict[str, str], answers: list[Answer], form: Form, **wanted: object) -> patch.Plan:
    """Return the plan for some texts and answers."""
    readings = readings_of(entries, form)
    checklist = Checklist(each.entry for each in readings if each.entry)
    return patch.plan(readings, checklist, Recorded(answers), form, **wanted)


def lay(root: Path, entries: dict[str, str], answers: list[Answer]) -> Path:
    """Write a dataset below a folder."""
    (root / TAXA).mkdir(parents=True)
    for stem, text in entries.items():
        (root / TAXA / f"{stem}.yaml").write_bytes(text.encode())
    (root / "dataset" / "names.csv").write_bytes(written(answers))
    return root


def plan_of(root: Path, form: Form, **wanted: object) -> patch.Plan:
    """Return the plan for a dataset that lies below a folder."""
    dataset = run.read_whole(root, form)
    checklist = Checklist(dataset.entries, dataset.companions["retired"].value)
    return patch.plan(dataset.readings, checklist, run.recorded(root)[0], form, **wanted)


def tree(root: Path) -> dict[str, bytes]:
    """Return every file of a dataset by its path, hidden ones included."""
    return {path.relative_to(root).as_posix(): path.read_bytes() for path in root.rglob("*") if path.is_file()}


def applied(entries: dict[str, str], answers: list[Answer], form: Form, **wanted: object) -> dict[str, str]:
    """Return the texts by file stem as a plan leaves them."""
    plan = planned(entries, answers, form, **wanted)
    texts = {f"{TAXA}/{stem}.yaml": text for stem, text in entries.items()}
    for step in plan.steps:
        del texts[step.was]
        texts[step.file] = step.after.decode()
    return {Path(file).stem: text for file, text in texts.items()}


def with_answers(*rows: tuple[str, str]) -> list[Answer]:
    """Return answers by which names are renamed."""
    return [Answer(old, outcome="renamed", accepted_name=new, obtained="registry-taxonomy") for old, new in rows]
