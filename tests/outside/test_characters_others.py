"""Fertile surface by genus against Polme et al. 2020, spore size against funfun (see their README.md here)."""

from __future__ import annotations

from tests.outside.facts import rows, settle

# What the source calls it, and the surfaces that we would call so.
HYMENIUM = {
    "gills": {"gills"},
    "poroid": {"pores", "maze"},
    "hydnoid": {"spines"},
    "smooth": {"smooth"},
    "closed": {"enclosed"},
    "gel": {"enclosed"},
}
LEEWAY = 0.25


def test_the_fertile_surface_is_that_of_the_genus(dataset):
    theirs = {row["genus"]: row["hymenium"] for row in rows("polme2020/genera.csv") if row["hymenium"]}
    known = [entry for entry in dataset.entries if entry.name.split()[0] in theirs]
    assert len(known) > 0.8 * len(dataset.entries), "too few genera in common to say anything"
    found = {}
    for entry in known:
        said, value = theirs[entry.name.split()[0]], entry.characters["hymenophore"]
        mature = value.by_stage.get("mature") or next(iter(value.by_stage.values()))
        if not HYMENIUM[said] & set(mature):
            found[(entry.name, "hymenophore")] = f"{said} there, {sorted(mature)} here"
    settle("polme2020/surfaces", found, len(known))


def test_mean_spore_sizes_lie_within_ours(checklist):
    compared, found = 0, {}
    for row in rows("funfun/spores.csv"):
        entry = checklist.find(row["name"]).one
        for column, character in (("length_um", "spore-length"), ("width_um", "spore-width")):
            if entry is None or character not in entry.characters or not row[column]:
                continue
            compared += 1
            ranges = entry.characters[character].by_stage.values()
            low, high = min(low for low, _ in ranges), max(high for _, high in ranges)
            if not low * (1 - LEEWAY) <= float(row[column]) <= high * (1 + LEEWAY):
                found[(entry.name, character)] = f"{row[column]} there, {low}-{high} here"
    assert compared > 40
    settle("funfun/sizes", found, compared)
