"""The npm package as programmers use it, run by the test runner of Node itself; skipped where Node is missing."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
from pathlib import Path

import pytest

from tests.release.conftest import content_of
from tests.release.edition import WORDS, edition
from tests.release.packages.tarballs import placed

NODE = shutil.which("node")
TESTS = Path(__file__).with_name("npm_api.cjs")

pytestmark = pytest.mark.skipif(NODE is None, reason="Node.js is not installed, and only it can run the npm package")


def telling(made):
    """Change the edition so that it has a name of each kind."""
    for id, more in {"F9001": ["Étrange Chose"], "F9002": [], "F9003": []}.items():
        made.entries[id]["vernacular"] = {"en": ["Brown Thing", *more]}
    made.entries["F9001"]["former_names"] = [{"name": "Fictum letale", "kind": "misapplied", "authorship": "auct."}]
    made.retire("F9004")
    made.retire("F9005", consider=["F9001", "F9002"])


@pytest.fixture(scope="module")
def package(form, tmp_path_factory):
    return placed(content_of(edition(form, telling), form, WORDS), tmp_path_factory.mktemp("npm"))


def test_the_package_does_what_it_says(package, tmp_path):
    told = {**os.environ, "PACKAGE": str(package), "TMPDIR": str(tmp_path), "NO_COLOR": "1"}
    words = [NODE, "--test", "--test-reporter=tap", TESTS]
    done = subprocess.run(words, env=told, capture_output=True, text=True, encoding="utf-8")
    failed = "\n".join(re.findall(r"^not ok .*?^  \.\.\.$", done.stdout, re.MULTILINE | re.DOTALL))
    assert done.returncode == 0, failed + done.stderr
    assert "# fail 0" in done.stdout
    assert "# tests 0" not in done.stdout
