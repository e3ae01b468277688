"""The npm package in the hands of the programs that JavaScript users have: npm, Node by require and import, TypeScript.

- npm installs it from the file alone, into a folder that holds nothing else.
- Node.js runs the same program by ``require`` and by ``import``; what it says is held against the tables.
- tsc, the compiler of TypeScript, checks a program of a user, strictly, in each of its ways to look for modules.
Each is skipped where it is missing; ``TSC`` may name the compiler.
"""

from __future__ import annotations

import json
import os
import re
import shutil
import subprocess
import tarfile
from collections import defaultdict
from pathlib import Path

import pytest

from sporeproof.findings import SAFETY_NOTE
from sporeproof.release.formats.to_npm import path_of, to_npm
from tests.release.conftest import content_of
from tests.release.edition import WORDS, edition

NODE, NPM = shutil.which("node"), shutil.which("npm")
TSC = os.environ.get("TSC") or shutil.which("tsc")

pytestmark = pytest.mark.skipif(NODE is None, reason="Node.js is not installed, and only it can run the npm package")

BODY = """
const words = JSON.parse(readFileSync(0, "utf8"));
const found = words.map((word) => api.find(word).map((each) => [each.id, each.foundAs]));
const taxa = api.taxa().map(({ id, verdict }) => ({
  id, verdict: verdict.id, text: String(verdict), needs: verdict.needs.map((each) => each.id),
  cautions: verdict.cautions.map((each) => each.id), reviewState: verdict.reviewState,
  confusions: api.confusions(id).map((each) => each.with.id),
  worst: api.confusions(id).slice(0, 1).map((each) => each.with.verdict.id),
}));
const proofs = api.taxa().map(({ id }) => {
  try {
    return api.proof(id).levels.map(({ level, items, notExcluded }) => [
      id, level.id, items.map((each) => each.characterId), notExcluded.map((each) => each.with.id),
    ]);
  } catch (error) {
    return error.name;
  }
});
const { VERSION, SAFETY_NOTE } = api;
console.log(JSON.stringify({ found, taxa, proofs, VERSION, SAFETY_NOTE, keys: Object.keys(api).sort() }));
"""
PROGRAMS = {
    "asked.cjs": f'const {{ readFileSync }} = require("node:fs");\nconst api = require("sporeproof-data");\n{BODY}',
    "asked.mjs": f'import {{ readFileSync }} from "node:fs";\nimport * as api from "sporeproof-data";\n{BODY}',
}
TYPED = """
import { find, confusions, proof, notices, taxa, taxon, characters, sources, provenance } from "sporeproof-data";
import { BrokenData, NoProof, NotRecorded, NotReviewed, SAFETY_NOTE, VERSION, Verdict } from "sporeproof-data";
import type { Taxon } from "sporeproof-data";

export function tell(name: string): string {
  try {
    const [first, ...others] = find(name, { reviewedOnly: true });
    const low: number | null | undefined = first.verdict.acceptOnly[0]?.low;
    const worst: Verdict | undefined = confusions(first)[0]?.with.verdict;
    const left: string[] = proof(first).levels.flatMap((each) => each.notExcluded.map(({ with: other }) => other.name));
    return [`${first.verdict}`, low, `${worst}`, ...left, ...others.map((each: Taxon) => each.name)].join();
  } catch (error) {
    if (error instanceof NotReviewed || error instanceof NotRecorded || error instanceof NoProof) return error.message;
    if (error instanceof BrokenData) return `${error.message} ${SAFETY_NOTE}`;
    throw error;
  }
}
export const many: number = taxa().length + notices(VERSION, { partial: true }).length + provenance().counts.taxa;
export const words: readonly string[] = [...Object.keys(characters()), ...Object.keys(sources())];
const { verdict } = taxon("F0001");
// @ts-expect-error a verdict is no word
if (verdict === "edible") throw verdict;
// @ts-expect-error nor is there a yes or no
verdict.isEdible;
// @ts-expect-error it cannot be changed
verdict.id = "edible";
// @ts-expect-error nor its lists
verdict.cautions.pop();
// @ts-expect-error a misspelt switch
find("x", { reviewOnly: true });
// @ts-expect-error nobody makes a verdict
new Verdict();
// @ts-expect-error what may be missing must be asked for
const sure: number = confusions("F0001")[0].required;
export { sure };
"""
SHAPES = """
const api = require("sporeproof-data");
const said = [];
function is(type, values, ...without) {
  if (!values.length) throw new Error(`there is no ${type} to look at`);
  const told = JSON.parse(JSON.stringify(values));
  for (const each of told) for (const key of without) delete each[key];
  said.push([`Omit<api.${type}, ${without.map((key) => JSON.stringify(key)).join(" | ") || "never"}>`, told]);
}
const all = api.taxa();
const verdicts = all.map((each) => each.verdict);
const confusions = verdicts.slice(0, 5).flatMap((each) => each.confusions);
const levels = api.proof(process.argv[3]).levels;
const parts = {
  names: "Name", vernacular: "Vernacular", characters: "State", measurements: "Measurement", settings: "Setting",
  seasons: "Season", protections: "Protection", uses: "Term",
};
for (const [part, type] of Object.entries(parts)) is(type, all.flatMap((each) => each[part]).slice(0, 50));
is("Taxon", all.slice(0, 5), "verdict", "confusions", "proof", "record", "toString");
is("Verdict", verdicts, "confusions", "answered", "toString");
is("Confusion", confusions, "with");
is("Answered", verdicts.flatMap((each) => each.answered), "with");
is("Other", confusions.map((each) => each.with), "verdict", "toString");
is("Item", levels.flatMap((each) => each.items));
is("Left", levels.flatMap((each) => each.notExcluded), "with");
is("ProofLevel", levels, "items", "notExcluded");
is("Character", Object.values(api.characters()));
is("Source", Object.values(api.sources()));
is("Provenance", [api.provenance()]);
is("Notice", JSON.parse(process.argv[2]));
console.log('import type * as api from "sporeproof-data";');
said.forEach(([type, told], n) => console.log(`export const _${n}: readonly ${type}[] = ${JSON.stringify(told)};`));
"""
WAYS = {
    "required": ("user.cts", ["--module", "node16"]),
    "imported": ("user.mts", ["--module", "node16"]),
    "bundled": ("user.ts", ["--module", "esnext", "--moduleResolution", "bundler"]),
}


def run(folder: Path, *words: str, said: str | None = None) -> str:
    done = subprocess.run(words, cwd=folder, input=said, capture_output=True, text=True, encoding="utf-8")
    assert done.returncode == 0, f"{done.stdout}\n{done.stderr}"
    return done.stdout


def unpack(tarball: Path, folder: Path) -> None:
    with tarfile.open(tarball) as archive:
        archive.extractall(folder, filter="data")
    (folder / "node_modules").mkdir()
    (folder / "package").rename(folder / "node_modules" / "sporeproof-data")


@pytest.fixture(scope="module")
def tarball(real, tmp_path_factory):
    path = tmp_path_factory.mktemp("release") / Path(path_of(real)).name
    path.write_bytes(to_npm(real)[path_of(real)])
    return path


@pytest.fixture(scope="module")
def user(tarball, tmp_path_factory):
    """The folder of a user with the package in it and nothing else."""
    folder = tmp_path_factory.mktemp("user")
    unpack(tarball, folder)
    return folder


@pytest.fixture(scope="module")
def words(real):
    found = [f"{row['name']} {row['authorship'] or ''}".upper() for row in real.rows["names"]]
    found += [row["name"].lower().replace(" ", "   ") for row in real.rows["names"]]
    return [*found, *(row["name"] for row in real.rows["vernaculars"]), *real.taxa]


@pytest.fixture(scope="module")
def answers(user, words):
    """What one program says by ``require``, and the same program by ``import``."""
    told = {}
    for name, program in PROGRAMS.items():
        (user / name).write_text(program, "utf-8")
        told[name] = json.loads(run(user, NODE, name, said=json.dumps(words)))
    return told


@pytest.fixture(scope="module")
def told(answers):
    return answers["asked.cjs"]


@pytest.mark.skipif(NPM is None, reason="npm is not installed")
def test_npm_installs_the_file_alone(real, tarball, tmp_path):
    (tmp_path / "package.json").write_text('{"private": true}', "utf-8")
    quiet = ["--no-audit", "--no-fund", "--ignore-scripts", "--cache", str(tmp_path / "cache")]
    run(tmp_path, NPM, "install", "--offline", *quiet, str(tarball))
    there = tmp_path / "node_modules"
    assert [each.name for each in there.iterdir() if not each.name.startswith(".")] == ["sporeproof-data"]
    with tarfile.open(tarball) as archive:
        for each in archive:
            path = there / "sporeproof-data" / each.name.removeprefix("package/")
            assert path.read_bytes() == archive.extractfile(each).read(), each.name
    id, row = next(iter(real.taxa.items()))
    program = f'import("sporeproof-data").then(({{ find }}) => console.log(find("{id}")[0].name))'
    assert run(tmp_path, NODE, "-e", program).strip() == row["name"]
    listed = json.loads(run(tmp_path, NPM, "ls", "--json", "--all", "--offline"))
    assert list(listed["dependencies"]) == ["sporeproof-data"]
    assert not {"problems", "dependencies"} & listed["dependencies"]["sporeproof-data"].keys()


def test_require_and_import_give_the_same(answers):
    assert answers["asked.cjs"] == answers["asked.mjs"]


def test_every_name_of_the_tables_is_found(real, words, told):
    wanted = defaultdict(set)
    for row in real.rows["names"]:
        wanted[f"{row['name']} {row['authorship'] or ''}".upper()].add((row["taxon_id"], row["role"]))
        wanted[row["name"].lower().replace(" ", "   ")].add((row["taxon_id"], row["role"]))
    for row in real.rows["vernaculars"]:
        wanted[row["name"]].add((row["taxon_id"], "vernacular"))
    for id in real.taxa:
        wanted[id].add((id, "id"))
    assert len(words) > 500
    for word, found in zip(words, told["found"], strict=True):
        assert wanted[word] <= {(id, role) for id, roles in found for role in roles}, word


def test_verdicts_and_what_they_hang_on_are_those_of_the_tables(real, told):
    order = list(real.form.vocabularies["verdicts"])
    beside = defaultdict(set)
    for row in real.rows["confusions"]:
        if row["listed"] != "dismissed":
            beside[row["taxon_id"]].add(row["with_taxon_id"])
            beside[row["with_taxon_id"]].add(row["taxon_id"])
    assert [each["id"] for each in told["taxa"]] == list(real.taxa)
    for each in told["taxa"]:
        row = real.taxa[each["id"]]
        assert (each["verdict"], each["reviewState"]) == (row["verdict"], row["review_state"])
        for name in ("needs", "cautions"):
            assert each[name] == [found["id"] for found in real.of(name, each["id"])]
        assert set(each["confusions"]) == beside[each["id"]]
        verdicts = [real.taxa[id]["verdict"] for id in each["confusions"]]
        assert verdicts == sorted(verdicts, key=order.index)
        assert each["worst"] == verdicts[:1]


def test_the_text_of_an_edible_verdict_names_each_need_caution_and_dangerous_confusion(real, told):
    edible = [each for each in told["taxa"] if real.form.is_edible(each["verdict"])]
    assert len(edible) > 20
    for each in edible:
        for vocabulary in ("needs", "cautions"):
            for id in each[vocabulary]:
                term = real.terms[vocabulary, id]
                assert term["title"] in each["text"]
                assert term["definition"] in each["text"]
        dangerous = [id for id in each["confusions"] if real.form.is_dangerous(real.taxa[id]["verdict"])]
        for id in dangerous:
            assert f"{real.taxa[id]['name']} ({id}), {real.taxa[id]['verdict']}" in each["text"]
        assert "Review: Unreviewed" in each["text"]
        assert SAFETY_NOTE in each["text"]


def test_proofs_are_those_of_the_tables_with_what_they_do_not_exclude(real, told):
    items, left = defaultdict(list), defaultdict(set)
    for row in sorted(real.rows["proofs"], key=lambda each: each["position"]):
        items[row["taxon_id"], row["level"]].append(row["character_id"])
    for row in real.rows["unexcluded"]:
        left[row["taxon_id"], row["level"]].add(row["with_taxon_id"])
    levels = [level for proof in told["proofs"] if proof != "NoProof" for level in proof]
    assert {(id, level): seen for id, level, seen, _ in levels if seen} == items
    assert {(id, level): set(others) for id, level, _, others in levels if others} == left
    assert told["proofs"].count("NoProof") == len(real.taxa) - len({id for id, _ in {**items, **left}})


def test_version_and_note_are_those_of_the_release(real, told):
    assert (told["VERSION"], told["SAFETY_NOTE"]) == (real.version, SAFETY_NOTE)


def test_another_dataset_has_a_package_of_its_own_name(form, tmp_path):
    small = content_of(edition(form), form, WORDS)
    (data,) = to_npm(small).values()
    (tmp_path / "x.tgz").write_bytes(data)
    unpack(tmp_path / "x.tgz", tmp_path)
    (tmp_path / "node_modules" / "sporeproof-data").rename(tmp_path / "node_modules" / "fernhollow-data")
    program = 'console.log(require("fernhollow-data").find("common fiction")[0].id)'
    assert run(tmp_path, NODE, "-e", program).strip() == "F9001"


@pytest.mark.skipif(TSC is None, reason="TypeScript is not installed; `TSC` may name its compiler")
@pytest.mark.parametrize("way", WAYS)
def test_types_hold_for_a_program_of_a_user(user, way):
    name, words = WAYS[way]
    (user / name).write_text(TYPED, "utf-8")
    run(user, TSC, "--strict", "--noUncheckedIndexedAccess", "--noEmit", "--target", "es2022", *words, name)


@pytest.mark.skipif(TSC is None, reason="TypeScript is not installed; `TSC` may name its compiler")
def test_types_are_those_of_what_is_really_there(real, user):
    """Written as TypeScript, the real data have no key that the types lack, and lack none that they promise."""
    fields = real.form.tables["notices"]["fields"]
    required = {each["name"]: "x" if each.get("constraints", {}).get("required") else None for each in fields}
    notice = {re.sub("_([a-z])", lambda at: at[1].upper(), key): cell for key, cell in required.items()}
    (user / "shapes.cjs").write_text(SHAPES, "utf-8")
    written = run(
        user, NODE, "shapes.cjs", json.dumps([{**notice, "sourceIds": []}]), real.rows["proofs"][0]["taxon_id"]
    )
    assert written.count("export const") > 15
    (user / "shapes.cts").write_text(written, "utf-8")
    run(user, TSC, "--strict", "--noEmit", "--target", "es2022", "--module", "node16", "shapes.cts")
