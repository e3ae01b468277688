"""A taxon with which edible ones must be compared is absent, or too little of it is recorded.

## Why
What is not in the dataset is never found among the confusions, however deadly it is and however alike. Until it stands
there, with what a comparison needs of it both young and mature, nothing edible with that fertile surface is proven.

## Mend
Write its entry, or record the characters that are missing at the age that is named. If it is there as edible, that is
the first thing to mend.

## Wrong
```yaml schema/suspects.yaml
surface: hymenophore
suspects:
  gills: {taxa: [Galerina marginata], young: [body], mature: [ring]}
```
```yaml
id: F9001
name: Kuehneromyces mutabilis
edibility: {verdict: edible}
characters: {hymenophore: gills}
```
```yaml
id: F9002
name: Galerina marginata
edibility: {verdict: deadly}
characters: {body: cap-and-stem, hymenophore: gills, ring: {young: [present]}}
```

## Right
```yaml schema/suspects.yaml
surface: hymenophore
suspects:
  gills: {taxa: [Galerina marginata], young: [body], mature: [ring]}
```
```yaml
id: F9001
name: Kuehneromyces mutabilis
edibility: {verdict: edible}
characters: {hymenophore: gills}
```
```yaml
id: F9002
name: Galerina marginata
edibility: {verdict: deadly}
characters: {body: cap-and-stem, hymenophore: gills, ring: {young: [present], mature: [present, absent]}}
```

## Source
common practice, no source
"""

from __future__ import annotations

from collections.abc import Iterator

from sporeproof.checks.context import Whole
from sporeproof.checks.registry import rule
from sporeproof.findings import Mark, Problem
from sporeproof.form.load import Form


@rule("safety.missing-suspect", "error", per="dataset", released=True)
def find(whole: Whole, form: Form) -> Iterator[Problem]:
    """Yield one problem for each taxon that some edible entry must be compared with and cannot be."""
    for each in whole.missing:
        if each.entry is None:
            at, says = Mark("schema/suspects.yaml"), "no entry bears that name"
            mend = f"Write an entry for {each.name}, or say under which name it stands as a former name there."
        elif each.harmless:
            at, says = each.entry.at("edibility", "verdict"), f"its verdict here is {each.entry.verdict}"
            mend = "Correct the verdict; if the taxon is harmless after all, take it out of the schema's suspects."
        else:
            lacks = ", ".join(f"{id} ({stage})" for id, stage in each.unrecorded)
            at, says = each.entry.at_key("characters"), f"not on record: {lacks}"
            mend = "Record them at that age, as wide as they occur."
        yield Problem(at, f"Edible taxa with {each.surface} must be compared with {each.name}, but {says}.", mend)
