"""One species in words: the verdict first, everything it hangs on, and no absence that reads as a clearance.

The taxa named *Fictum* are invented, and so is all that is said of them.
"""

from __future__ import annotations

import calendar
import json
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sporeproof.records.read import reading_of
from sporeproof.report import species_wording
from sporeproof.report.species import species_json, species_text
from sporeproof.tables.resolve import Checklist
from sporeproof.text.read import read_page

COMMUNE = """
id: F9001
name: Fictum commune
authorship: Fict.
rank: species
family: Fictaceae
vernacular: {en: [Common Figment]}
former_names: [Fictum vetus, {name: Fictum alienum, kind: misapplied}, {name: Fictum comune, kind: misspelling}]
edibility:
  verdict: edible-with-conditions
  needs: [cook-thoroughly, young-only]
  cautions: [deadly-confusion, raw-upsets]
  accept_only: {stage: [young], ring: [present], cap-width: [30, 60]}
  opinions: [{verdict: edible-with-conditions, source: common-practice}]
  source: [common-practice]
uses: [dye]
substrate: [litter]
hosts: {occasional: [Betula], always: [Fagus]}
habitat: [park]
season: {from: 11, to: 2, peak: [12]}
region: GB
characters:
  body: cap-and-stem
  hymenophore: gills
  cap-width: [20, 70]
  cap-shape: {young: [bell, convex], mature: [convex]}
  gill-colour: pink
  ring: {is: [present, absent], source: [invented-book]}
  spore-print: white
  volva: none
confusions:
  - {with: Fictum mite, hints: [smell]}
  - {with: Fictum malum, told_apart_by: [spore-print], hints: [hosts], note: Look at every one.}
sources: {characters: [from-memory], setting: [from-memory], confusions: [common-practice]}
review: {state: unreviewed}
"""
MALUM = """
id: F9002
name: Fictum malum
rank: species
edibility: {verdict: deadly, syndromes: [hepatotoxic-amatoxin]}
characters: {body: cap-and-stem, hymenophore: gills, spore-print: rusty-brown}
review: {state: unreviewed}
"""
MITE = """
id: F9003
name: Fictum mite
rank: species
edibility: {verdict: edible}
review: {state: reviewed, by: a reader, on: 2026-11-25}
"""
BOOK = {"invented-book": {"kind": "published", "citation": "An invented book.", "year": 2020, "doi": "10.1000/182"}}
LAW = {
    "instrument": "Invented Act",
    "section": "section 1",
    "name_as_listed": "Fictum vetus",
    "territories": ["GB-ENG", "GB-SCT"],
    "acts": ["pick"],
    "since": "1998",
    "source": [{"source": "from-memory", "recalls": "invented-book"}],
}


@pytest.fixture
def told(form):
    """Return what tells of the first of some entries, as text or as JSON, with its lines made one."""

    def tell(*texts, asked="", protections=(), retired=None, form=form, as_json=False):
        readings = [
            reading_of(read_page(text.encode(), f"dataset/taxa/fictum-{number}.yaml"), form.entry)
            for number, text in enumerate(texts)
        ]
        entries = [each.entry for each in readings]
        checklist = Checklist(entries, retired, BOOK)
        asked = asked or entries[0].name
        if as_json:
            return json.loads(species_json(entries[0], checklist, form, list(protections), asked))
        return species_text(entries[0], checklist, form, list(protections), asked)

    return tell


def flat(text):
    return " ".join(text.split())


def part(text, heading):
    """Return one section of the text, its lines made one."""
    (found,) = [each for each in text.split("\n\n") if each.startswith(heading)]
    return flat(found)


def verdict_of(verdict):
    return (
        f"id: F9009\nname: Fictum unum\nrank: species\nedibility: {{verdict: {verdict}}}\nreview: {{state: unreviewed}}"
    )


def test_sections_stand_in_order_and_the_verdict_first(told):
    blocks = told(COMMUNE, MALUM, MITE).split("\n\n")
    assert [each.split("\n")[0] for each in blocks] == [
        "Fictum commune Fict.",
        "VERDICT: EDIBLE WITH CONDITIONS.",
        "Never without",
        "Cautions",
        "Only these specimens; any other is left, even if it is this species",
        "What it can be taken for, the most dangerous first",
        "What it looks like",
        "Where and when",
        "Other uses",
        "Old names",
        "Protection by law",
        "How this is known",
        "Sources named above",
    ]
    assert blocks[0] == (
        "Fictum commune Fict.\nEveryday names (en): Common Figment\nSpecies, Fictaceae, F9001"
    )  # fmt: skip


def test_what_may_not_be_eaten_says_so_beside_the_verdict(told, form):
    for id, verdict in form.vocabularies["verdicts"].items():
        text = part(told(verdict_of(id)), "VERDICT")
        assert text.startswith(f"VERDICT: {verdict.title.upper()}.")
        assert flat(verdict.definition) in text
        assert ("DO NOT EAT IT" in text) == (id not in {"edible", "edible-with-conditions"})


def test_a_verdict_that_cannot_be_read_is_no_leave_to_eat(told):
    text = told("id: F9009\nname: Fictum unum\nrank: species\nedibility: {needs: [cook-thoroughly]}\n")
    assert "VERDICT: NONE CAN BE READ. DO NOT EAT IT." in text
    assert "VERDICT: TASTY. DO NOT EAT IT." in told(verdict_of("tasty"))


def test_an_entry_that_is_read_in_part_says_so_before_its_verdict(told):
    broken = COMMUNE.replace("needs: [cook-thoroughly, young-only]", "needs: 7")
    text = told(broken, MALUM, MITE)
    assert text.index("PARTS OF THIS ENTRY CANNOT BE READ") < text.index("VERDICT")
    assert "sporeproof check dataset/taxa/fictum-0.yaml" in flat(text)
    assert told(broken, as_json=True)["sound"] is False
    assert "CANNOT BE READ" not in told(COMMUNE)


def test_needs_and_cautions_stand_with_their_definitions(told, form):
    needs, cautions = form.vocabularies["needs"], form.vocabularies["cautions"]
    text = told(COMMUNE)
    assert part(text, "Never without") == flat(
        "Never without "
        + " ".join(f"{needs[id].title}: {needs[id].definition}" for id in ("cook-thoroughly", "young-only"))
    )
    assert flat(cautions["deadly-confusion"].definition) in part(text, "Cautions")


def test_words_come_from_the_schema(told, form):
    verdicts = form.vocabularies["verdicts"]
    other = verdicts | {"deadly": replace(verdicts["deadly"], title="Lethal", definition="An invented meaning.")}
    text = told(MALUM, form=replace(form, vocabularies=form.vocabularies | {"verdicts": other}))
    assert part(text, "VERDICT") == "VERDICT: LETHAL. DO NOT EAT IT. An invented meaning."


def test_accepted_specimens_in_words(told, form):
    text = part(told(COMMUNE), "Only these specimens")
    assert f"Stage: young ({form.vocabularies['stages']['young'].definition[:6].lower()}" in text
    assert "Ring on the stem: present (a skirt" in text
    assert "Width of the cap or of the whole fruitbody: 30 to 60 millimetres" in text


def test_harm_gives_every_onset_with_its_source_and_the_warning(told, form):
    text = part(told(MALUM), "How it harms")
    syndrome = form.vocabularies["syndromes"]["hepatotoxic-amatoxin"]
    assert f"{syndrome.title}: {syndrome.definition}" in text
    for onset in syndrome.more["onsets"]:
        at = f"{onset['low_h']:g} to {onset['high_h']:g} hours"
        assert any(at in each and onset["source"] in each for each in text.split(";")), onset
    assert "48 to 96 hours (2 to 4 days)" in text
    assert "A late onset is never ruled out by an early one" in text
    assert text.index("First signs") < text.index("Liver (")


@pytest.mark.parametrize(
    ("low", "high", "said"),
    [
        (0.25, 5, "0.25 to 5 hours"),
        (None, 24, "up to 24 hours"),
        (5, 5, "5 hours"),
        (24, None, "from 24 hours"),
        (48, 408, "48 to 408 hours (2 to 17 days)"),
        (36, 60, "36 to 60 hours (1.5 to 2.5 days)"),
    ],
)
def test_hours(low, high, said):
    onset = {"phase": {"id": "a", "title": "A", "definition": "B."}, "low_h": low, "high_h": high}
    source = {"source_id": "c", "recalls": None}
    assert list(species_wording.onset_lines([onset | source])) == [f"A (b): {said} [c]"]


def test_a_dangerous_one_without_syndromes_is_not_made_safer_by_it(told):
    assert "not recorded; that makes it no safer" in part(told(verdict_of("disputed")), "How it harms")
    assert "How it harms" not in told(verdict_of("unknown"))


def test_confusions_stand_with_verdicts_the_deadliest_first(told):
    text = part(told(COMMUNE, MALUM, MITE), "What it can be taken for")
    assert text.index("Fictum malum: DEADLY") < text.index("Fictum mite: EDIBLE")
    assert "spore print (decisive, spore print). This one, as accepted: white; the other: rusty-brown." in text
    assert "Only hints, which prove nothing: hosts. Look at every one." in text
    assert "Nothing is named that tells the two apart for certain. Only hints, which prove nothing: smell." in text
    assert "What is not listed here is not ruled out." in text


def test_the_other_side_shows_what_is_accepted_of_the_edible_one(told):
    listing = MALUM + "confusions: [{with: Fictum commune, told_apart_by: [spore-print]}]"
    assert "This one: rusty-brown; the other, as accepted: white." in flat(told(listing, COMMUNE, MITE))


def test_a_claim_that_does_not_hold_is_not_shown_as_one(told):
    same = MALUM.replace("rusty-brown", "[white, rusty-brown]")
    assert "spore print (not for certain, spore print)" in flat(told(COMMUNE, same, MITE))
    unknown = MALUM.replace(", spore-print: rusty-brown", "")
    assert "spore print (not for certain, spore print). This one, as accepted: white; the other: unknown." in flat(
        told(COMMUNE, unknown, MITE)
    )


def test_a_pair_that_only_the_other_lists_is_not_lost(told):
    lister = MALUM.replace("malum", "pessimum").replace("F9002", "F9004")
    lister += "confusions: [{with: Fictum vetus, told_apart_by: [spore-print], note: This one kills.}]"
    text = part(told(COMMUNE, lister, MALUM, MITE), "What it can be taken for")
    assert "Fictum pessimum: DEADLY" in text
    assert "Said in the entry of Fictum pessimum, which is `this one` there: This one kills." in text
    assert text.count("Fictum malum: DEADLY") == 1


def test_a_pair_that_both_list_stands_once(told):
    listing = MALUM + "confusions: [{with: Fictum commune, note: Said there.}]"
    text = part(told(COMMUNE, listing, MITE), "What it can be taken for")
    assert text.count("Fictum malum: DEADLY") == 1
    assert "Said there." not in text


def test_a_claim_is_judged_from_the_side_that_is_eaten(told):
    """Only the ringed ones are accepted, so the ring parts the two, whichever entry says so."""
    listing = MALUM.replace("{body", "{ring: absent, body")
    listing += "confusions: [{with: Fictum commune, told_apart_by: [ring]}]"
    text = flat(told(listing, COMMUNE, MITE))
    assert "ring on the stem (firm, at a glance). This one: absent; the other, as accepted: present." in text


def test_between_two_edible_ones_the_other_is_shown_as_wide_as_it_can_be(told):
    other = COMMUNE.replace("commune", "mite").replace("F9001", "F9003")
    lister = COMMUNE.replace("with: Fictum mite,", "with: Fictum mite, told_apart_by: [ring],")
    text = flat(told(lister, MALUM, other))
    assert "This one, as accepted: present; the other: present, " in text


def test_a_link_that_leads_nowhere_comes_first_and_is_loud(told):
    text = part(told(COMMUNE, MALUM), "What it can be taken for")
    assert text.index("Fictum mite: NOT IN THIS CHECKLIST") < text.index("Fictum malum: DEADLY")


def test_a_link_that_leads_to_several_takes_the_worst_verdict(told):
    worse = MALUM.replace("Fictum malum", "Fictum alterum") + "former_names: [Fictum par]"
    mild = MITE + "former_names: [Fictum par]"
    lister = COMMUNE.replace("with: Fictum malum", "with: Fictum par")
    found = told(lister, mild, worse, as_json=True)["confusions"]
    assert [each["verdict"]["id"] for each in found] == ["deadly", "edible"]
    assert {each["name"] for each in found[0]["taxa"]} == {"Fictum mite", "Fictum alterum"}


def test_nothing_listed_clears_nothing(told):
    assert "Nothing is listed. That does not clear it." in part(told(MITE), "What it can be taken for")


@given(st.lists(st.sampled_from(["deadly", "poisonous", "disputed", "unknown", "inedible", "edible"]), max_size=8))
@settings(max_examples=30)
def test_no_order_of_writing_puts_a_milder_one_before_a_deadlier(form, verdicts):
    """A law: data-model.md, 1.3 gives the order."""
    others = [f"name: Fictum no-{n}\nedibility: {{verdict: {each}}}" for n, each in enumerate(verdicts)]
    listing = ", ".join(f"{{with: Fictum no-{n}}}" for n in range(len(verdicts)))
    texts = [f"name: Fictum unum\nedibility: {{verdict: edible}}\nconfusions: [{listing}]", *others]
    entries = [
        reading_of(read_page(text.encode(), f"dataset/taxa/fictum-{n}.yaml"), form.entry).entry
        for n, text in enumerate(texts)
    ]
    found = json.loads(species_json(entries[0], Checklist(entries), form, [], "Fictum unum"))["confusions"]
    order = ["deadly", "poisonous", "disputed", "unknown", "inedible", "edible"]
    assert [each["verdict"]["id"] for each in found] == sorted(verdicts, key=order.index)


def test_looks_stand_by_age_and_explain_a_state_once(told, form):
    text = part(told(COMMUNE), "What it looks like")
    convex = form.characters["cap-shape"].states["convex"].means
    assert "mature: convex Fertile surface" in text
    assert text.count(convex.lower()) == 1
    assert "Shape of the cap: young: bell (high with a flared edge), convex (evenly domed); mature: convex" in text
    assert "Colour of the gills: pink" in text
    assert (
        text.index("Body plan") < text.index("Shape of the cap") < text.index("Ring on the stem") < text.index("print")
    )


def test_unknown_characters_are_counted_and_named(told, form):
    found = {each["id"] for each in told(COMMUNE, as_json=True)["unknown_characters"]}
    assert {"smell", "stem-base", "ring-type"} <= found
    assert found.isdisjoint({"ring", "spore-print", "section", "spine-length", "branch-tips"})
    text = part(told(COMMUNE), "What it looks like")
    assert f"Unknown, since nobody has recorded it ({len(found)}): " in text
    assert form.characters["stem-base"].title.lower() in text.partition("Unknown, since")[2]


def test_an_egg_that_nobody_wrote_is_reckoned_with(told):
    """The catalogue's implications: what may have a volva may be a closed ball (engine.md, 1)."""
    text = part(told(MALUM), "What it looks like")
    assert "not written, but to be reckoned with: ball" in text
    assert "Ball cut from top to bottom: not written, but to be reckoned with: cap-outline" in text
    assert "to be reckoned with" not in told(COMMUNE)


def test_a_word_that_the_catalogue_lacks_is_shown_as_such(told):
    text = part(told(COMMUNE.replace("volva: none", "sparkle: bright")), "What it looks like")
    assert "Words that the catalogue does not hold Sparkle: bright" in text


def test_setting(told):
    text = part(told(COMMUNE), "Where and when")
    assert "Grows on: litter (fallen leaves" in text
    assert text.index("Hosts, always") < text.index("Hosts, occasional")
    assert "Fagus Hosts, occasional (it is found with these hosts now and then): Betula" in text
    assert "Found in: park" in text
    assert "Fruits: November to February, most in December" in text
    assert "observed in GB." in text
    assert part(told(MITE), "Where and when").count("not recorded") == 3


def test_a_season_of_all_months():
    assert species_wording.season([*range(1, 13)], [1, 13]) == "in every month, most in January"


def test_month_names_against_the_calendar_of_the_standard_library():
    assert list(species_wording.MONTHS) == list(calendar.month_name)[1:]


@pytest.mark.parametrize(
    ("asked", "said"),
    [
        ("Fictum vetus", "Fictum vetus is called Fictum commune today. Former: A correct name"),
        ("Fictum comune", "Fictum comune is called Fictum commune today. Misspelling: "),
        ("Fictum  vetus", "Fictum vetus is called Fictum commune today."),
        ("Fictum alienum", "name of another taxon, used for Fictum commune by mistake: whoever says it may mean"),
        ("common figment", "common figment is an everyday name of Fictum commune; other fungi may bear it too."),
        ("F9050", "F9050 has ended. It was Fictum prius; Fictum commune answers for it. Held to be the same."),
    ],
)
def test_the_word_that_was_asked_is_led_to_todays_name(told, asked, said):
    retired = {"F9050": {"was": "Fictum prius", "replaced_by": ["F9001"], "because": "Held to be the same."}}
    text = told(COMMUNE, MALUM, MITE, asked=asked, retired=retired)
    assert said in flat(text.split("\n\n")[0])


def test_a_current_name_or_id_needs_no_explanation(told):
    assert told(COMMUNE, asked="F9001") == told(COMMUNE)
    assert "is called" not in told(COMMUNE)


def test_old_names_stand_with_their_kind(told, form):
    text = part(told(COMMUNE), "Old names")
    assert text.startswith("Old names Fictum vetus: former (a correct name")
    assert "Fictum alienum: misapplied (the name of another taxon" in text


def test_protection_as_listed_and_its_absence(told):
    text = part(told(COMMUNE, protections=[LAW]), "Protection by law")
    assert text.startswith(
        "Protection by law Invented Act, section 1: listed as Fictum vetus since 1998 "
        "[from-memory, recalling invented-book] Holds in England, Scotland. It forbids: Pick: "
    )
    assert "Nobody has read the law" in text
    listed = part(told(MALUM, protections=[LAW | {"name_as_listed": "Fictum malum"}]), "Sources named above")
    assert "[invented-book] An invented book." in listed
    other = LAW | {"name_as_listed": "Fictum malum"}
    assert part(told(COMMUNE, MALUM, protections=[other]), "Protection by law") == (
        "Protection by law Not recorded here, which does not mean allowed."
    )


def test_how_it_is_known(told):
    text = part(told(COMMUNE, MALUM, MITE), "How this is known")
    assert "The verdict. Common practice: " in text
    assert "Edible with conditions: [common-practice]" in text
    assert "What it looks like: 7 from [from-memory], 1 from [invented-book]" in text
    assert "What it is taken for: 2 from [common-practice]" in text
    assert "Grade of proof: `sporeproof proof` works it out." in text
    assert "NOBODY HAS REVIEWED THIS ENTRY." in text
    assert "An invented book. doi 10.1000/182" in part(told(COMMUNE), "Sources named above")


def test_a_review_vouches_for_no_more_than_it_says(told):
    text = part(told(MITE), "How this is known")
    assert "Reviewed by a reader on 2026-11-25. Whether the text has changed since then is not checked here." in text
    assert "NOBODY" not in text
    assert "What it looks like: not recorded" in text


def test_no_sign_commands_the_terminal_and_no_line_is_too_wide(told):
    hostile = COMMUNE.replace("Look at every one.", '"a\\e[2J\\u202eb ' + "x" * 300 + '"')
    text = told(hostile, MALUM, MITE)
    assert text.replace("\n", "").isprintable()
    assert max(map(len, text.split("\n"))) <= 100


KEYS = [
    "schema", "asked", "taxon_id", "name", "authorship", "rank", "family", "vernacular", "file", "sound", "members",
    "verdict", "needs", "cautions", "accept_only", "syndromes", "confusions", "no_dangerous_confusion", "answered",
    "appearance", "unknown_characters", "setting", "uses", "former_names", "protections", "evidence", "grade", "review",
    "sources", "safety_note",
]  # fmt: skip


def test_the_keys_of_json_are_a_contract(told):
    found = told(COMMUNE, MALUM, MITE, protections=[LAW], as_json=True)
    assert list(found) == KEYS
    assert found["schema"] == 1
    assert found["grade"] is None
    claim = found["confusions"][0]["told_apart_by"][0]
    assert list(claim) == ["id", "title", "separates", "proof", "seen_by", "here", "there"]
    assert claim["there"] == {
        "accepted": False,
        "status": "known",
        "states": [{"id": "rusty-brown", "means": claim["there"]["states"][0]["means"]}],
    }
    assert found["accept_only"][2] == {
        "id": "cap-width",
        "title": "Width of the cap or of the whole fruitbody",
        "low": 30,
        "high": 60,
        "unit": "mm",
        "unit_title": "Millimetre",
    }


def test_every_entry_of_the_dataset_is_told_in_full(dataset, form):
    """Nothing that warns is lost on the way, every source is explained, every line fits."""
    checklist = Checklist(dataset.entries, {}, dataset.companions["sources"].value)
    protections = dataset.companions["protections"].value
    for entry in dataset.entries:
        text = species_text(entry, checklist, form, protections, entry.name)
        assert max(map(len, text.split("\n"))) <= 100, entry.name
        one_line = flat(text)
        for vocabulary, ids in (("needs", entry.needs), ("cautions", entry.cautions), ("syndromes", entry.syndromes)):
            for id in ids:
                assert flat(form.vocabularies[vocabulary][id].definition) in one_line, (entry.name, id)
        for each in entry.confusions:
            other = checklist.find(each["with"]).one
            title = form.vocabularies["verdicts"][other.verdict].title.upper()
            assert f"{other.name}: {title}" in one_line
            assert flat(each["note"]) in one_line
        found = json.loads(species_json(entry, checklist, form, protections, entry.name))
        assert all(each["citation"] or each["kind"]["definition"] for each in found["sources"]), entry.name
        recorded = {each["id"] for part in found["appearance"] for each in part["characters"] if each["values"]}
        assert recorded == set(entry.characters)
        assert recorded.isdisjoint(each["id"] for each in found["unknown_characters"])
