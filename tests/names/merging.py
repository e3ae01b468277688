"""Two invented entries that are one taxon by an invented answer, and who refers to them. Nothing here is true."""

from __future__ import annotations

from pathlib import Path

from sporeproof import run
from sporeproof.form.load import Form
from sporeproof.names import patch
from sporeproof.names.answers import Answer
from sporeproof.names.choices import Choices
from tests.names.invented import lay

GONE = """\
id: F9011
name: Fictum dirum
authorship: Nemo
rank: species
former_names:
  - Fictum atrum
  - {name: Mendax atrus, authorship: (Nemo) Nullus, kind: misapplied}
vernacular: {en: [Dire Fiction]}
edibility:
  verdict: poisonous
  needs: [cook-thoroughly]
  cautions: [late-signs]
  syndromes: [orellanus]
  opinions: [{verdict: poisonous, source: common-practice}]
characters:
  ring: absent
  cap-width: [30, 60]
  gill-colour: {young: [cream], mature: [rusty-brown]}
confusions:
  - {with: Fictum commune, told_apart_by: [ring]}
  - {with: Fictum letale}
review: {state: unreviewed}
"""

KEPT = """\
id: F9012   # stays
name: Fictum letale
authorship: 'Nullus: Fr.'
rank: species
vernacular: {en: [Deadly Fiction, dire fiction]}
edibility:
  verdict: deadly
  needs: [cook-thoroughly]
  cautions: [late-signs, deadly-confusion]
  syndromes: [orellanus]
  opinions:
    - {verdict: deadly, source: common-practice}
    - {verdict: poisonous, source: common-practice}
characters:
  ring: [absent, present]
  cap-width: [20, 60]
  gill-colour: {young: [cream, white], mature: [rusty-brown]}
confusions:
  - {with: Fictum commune}
review: {state: unreviewed}
"""

COMMON = """\
id: F9013
name: Fictum commune
rank: species
edibility: {verdict: edible-with-conditions, needs: [cook-thoroughly]}
confusions:
  - with: Fictum dirum   # by its name
    note: Fictum dirum is dire
review: {state: unreviewed}
"""

OTHERS = {
    "by-id": "id: F9014\nname: Fictum alterum\nrank: species\nedibility: {verdict: unknown}\n"
    "confusions: [{with: F9011}]\nreview: {state: unreviewed}\n",
    "by-former-name": "id: F9015\nname: Fictum tertium\nrank: species\nedibility: {verdict: unknown}\n"
    "confusions: [{with: Fictum atrum}]\nreview: {state: unreviewed}\n",
    "fictum": "id: F9016\nname: Fictum\nrank: genus\nmembers: [Fictum commune, fictum-dirum-not, Fictum dirum]\n"
    "edibility: {verdict: deadly}\nreview: {state: unreviewed}\n",
}

RETIRED = """\
# Ids that have ended. This comment stays.
F9050: {was: Fictum vetus, replaced_by: [F9011], since: 0.2.0, because: Held to be the same.}
F9051:
  was: Fictum vetustum
  consider: [F9013, F9011]   # a split
  since: 0.3.0
  because: Several.
"""

ENTRIES = {"fictum-dirum": GONE, "fictum-letale": KEPT, "fictum-commune": COMMON, **OTHERS}
ANSWER = Answer(
    "Fictum dirum", "Nemo", "renamed", "Fictum letale", "Nullus: Fr.", "live", "", "Invented Checklist",
    checked_on="2026-11-25",
)  # fmt: skip
ENDED = (
    "F9011: {was: Fictum dirum, replaced_by: [F9012], since: 1.2.0, "
    "because: 'Held to be the same as Fictum letale (Invented Checklist, asked 2026-11-25).'}\n"
)


def lay_merging(root: Path, entries: dict[str, str] | None = None, retired: str = RETIRED) -> Path:
    """Write the dataset below a folder."""
    lay(root, entries or ENTRIES, [ANSWER])
    (root / "dataset" / "retired.yaml").write_bytes(retired.encode())
    return root


def merge_of(
    root: Path, form: Form, accept: dict[str, str] | None = None, since: str = "1.2.0", **wanted: object
) -> patch.Plan:
    """Return the plan for what a person chose in a dataset that lies below a folder."""
    dataset = run.read_whole(root, form)
    chosen = Choices(accept or {"Fictum dirum": "Fictum letale"}, since, dataset.companions["retired"].page.text)
    answers = run.recorded(root)[0]
    return patch.plan(dataset.readings, run.checklist_of(dataset), answers, form, choices=chosen, **wanted)
