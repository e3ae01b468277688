// What the npm package does, by the test runner of Node itself. It gets the folder of the package, and makes broken copies.
"use strict";

const assert = require("node:assert/strict");
const { cpSync, mkdtempSync, readFileSync, rmSync, writeFileSync } = require("node:fs");
const { tmpdir } = require("node:os");
const { join } = require("node:path");
const { test } = require("node:test");
const { inspect } = require("node:util");

const PACKAGE = process.env.PACKAGE;
const api = require(PACKAGE);
const { find, taxa, taxon } = api;

/** Return the interface of a copy of the package in which one file of the records was changed. */
function changed(file, change) {
  const folder = mkdtempSync(join(tmpdir(), "spoiled-"));
  try {
    cpSync(PACKAGE, folder, { recursive: true });
    const path = join(folder, "records", file);
    writeFileSync(path, change(readFileSync(path, "utf8")));
    const copy = require(folder);
    // Everything is read before the copy is gone.
    const reads = { all: attempt(() => copy.taxa().map(String)), notices: attempt(() => copy.notices("0.0.1", { partial: true })), whole: attempt(() => copy.notices("0.0.1")) };
    return { ...copy, ...reads };
  } finally {
    rmSync(folder, { recursive: true });
  }
}

function attempt(read) {
  try {
    return read();
  } catch (error) {
    return error;
  }
}

function edited(file, change) {
  return changed(file, (text) => {
    const value = JSON.parse(text);
    return JSON.stringify(change(value) ?? value);
  });
}

const ids = (found) => found.map((each) => each.id);

test("a name that several share leads to all of them, the most dangerous first", () => {
  assert.deepEqual(ids(find("brown thing")), ["F9002", "F9003", "F9001"]);
  assert.deepEqual(find("BROWN  thing\u00a0")[2].foundAs, ["vernacular"]);
});

test("case, blanks and the two ways to write an accent do not matter", () => {
  assert.deepEqual(ids(find("  FICTUM\t\u0085commune fern. ")), ["F9001"]);
  assert.deepEqual(ids(find("e\u0301trange chose")), ids(find("\u00c9trange Chose")));
});

test("an id finds, also in small letters, and says so", () => {
  assert.deepEqual(find("f9001 ")[0].foundAs, ["id"]);
  assert.equal(taxon("F9001").name, "Fictum commune");
  assert.deepEqual(taxon("F9001").foundAs, []);
});

test("a misapplied name leads to both, each with what it is to it", () => {
  const found = Object.fromEntries(find("Fictum letale").map((each) => [each.id, each.foundAs]));
  assert.deepEqual(found, { F9002: ["current"], F9001: ["misapplied"] });
});

test("a retired id and its name lead to the successors, the most dangerous first", () => {
  for (const word of ["F9005", "Fictum bonum"]) {
    assert.deepEqual(ids(find(word)), ["F9002", "F9001"]);
    assert.deepEqual(find(word)[0].foundAs, ["retired"]);
  }
  assert.throws(() => taxon("F9005"), { name: "NotRecorded", message: /find\(\) tells all/ });
});

test("what nothing stands for any more says why, and clears nothing", () => {
  for (const word of ["f9004", "fictum vetus"]) {
    assert.throws(() => find(word), { name: "NotRecorded", message: /F9004 \(Fictum vetus\) ended with version 0\.2\.0.*no clearance/ });
  }
});

test("what is not recorded throws, whatever it is called", () => {
  for (const word of ["Fictum nullum", "", " ", "fictum", "constructor", "__proto__", "toString", "../index", "F90011"]) {
    assert.throws(() => find(word), { name: "NotRecorded", message: /no clearance/ });
    assert.throws(() => taxon(word), { name: "NotRecorded", message: /no clearance/ });
    assert.throws(() => api.confusions(word), api.NotRecorded);
    assert.throws(() => api.proof(word), api.NotRecorded);
  }
  for (const word of [undefined, null, 1, {}, ["F9001"], taxon("F9001").verdict]) {
    assert.throws(() => find(word), TypeError);
    assert.throws(() => api.confusions(word), TypeError);
  }
});

test("whoever wants only reviewed entries never gets part of what a name may mean", () => {
  const mixed = edited("index.json", (index) => void (index.reviewed = ["F9001", "F9003"]));
  assert.deepEqual(ids(mixed.taxa({ reviewedOnly: true })), ["F9001", "F9003"]);
  const wanted = { name: "NotReviewed", message: /Fictum letale \(F9002\), and nobody has reviewed/ };
  assert.throws(() => mixed.find("brown thing", { reviewedOnly: true }), wanted);
  assert.throws(() => find("brown thing", { reviewedOnly: true }), api.NotRecorded);
  assert.deepEqual(ids(mixed.find("F9001", { reviewedOnly: true })), ["F9001"]);
  assert.deepEqual(taxa({ reviewedOnly: true }), []);
  assert.throws(() => find("Fictum nullum", { reviewedOnly: true }), (error) => !(error instanceof api.NotReviewed));
});

test("a switch that is misspelt or no yes or no throws", () => {
  for (const wrong of [{ reviewOnly: true }, { reviewedOnly: "no" }, { reviewedOnly: 0 }, null, true]) {
    assert.throws(() => find("Fictum commune", wrong), TypeError);
    assert.throws(() => taxa(wrong), TypeError);
  }
  assert.throws(() => api.notices("0.1.0", { reviewedOnly: true }), TypeError);
});

test("a verdict is no yes or no", () => {
  const { verdict } = find("Fictum letale")[0];
  const asked = [
    () => verdict == "deadly", () => verdict == 1, () => verdict == true, () => verdict < 1, () => verdict >= verdict.id,
    () => +verdict, () => verdict * 1, () => verdict + "", () => verdict - 0, () => BigInt(verdict), () => Number(verdict),
    () => new Date(verdict), () => Math.max(verdict), () => ~verdict, () => isNaN(verdict), () => JSON.parse('{"a":1}')[+verdict],
  ];
  for (const each of asked) assert.throws(each, { name: "TypeError", message: /no yes or no/ }, String(each));
});

test("no key stands for yes or no, and a misspelt one throws", () => {
  const found = find("Fictum letale")[0];
  const guesses = ["isEdible", "edible", "isSafe", "isDeadly", "deadly", "toxic", "caution", "confusion", "0", "length"];
  for (const key of guesses) {
    for (const object of [found, found.verdict, found.verdict.confusions[0], found.verdict.confusions[0].with, found.review]) {
      assert.throws(() => object[key], { name: "TypeError", message: /says neither yes nor no/ }, key);
    }
  }
  assert.throws(() => { const { isEdible = false } = found.verdict; return isEdible; }, TypeError);
  assert.equal(Object.values(found.verdict).some((each) => each === false || each === undefined || each === ""), false);
});

test("as text a verdict tells all that it hangs on, wherever it is shown", () => {
  const found = find("Fictum commune")[0];
  const { verdict } = found;
  for (const text of [String(verdict), `${verdict}`, inspect(verdict), inspect([found]), String(found), [verdict].join()]) {
    for (const each of [...verdict.needs, ...verdict.cautions]) {
      assert.ok(text.includes(each.title) && text.includes(each.definition), each.id);
    }
    assert.match(text, /Fictum letale \(F9002\), deadly, unreviewed/);
    assert.match(text, /30 to 70 mm/);
    assert.match(text, /EDIBLE WITH CONDITIONS[^]*Review: Unreviewed\. Nobody but its author/);
    assert.match(text, /Grade of proof: none, so nothing recorded lets anybody accept it/);
    assert.ok(text.includes(api.SAFETY_NOTE));
  }
});

test("as JSON a verdict has the same, with review and note", () => {
  for (const value of [JSON.parse(JSON.stringify(find("Fictum commune")))[0].verdict, JSON.parse(JSON.stringify(find("F9001")[0].verdict))]) {
    assert.deepEqual(value.needs.map((each) => each.id), ["cook-thoroughly", "discard-stems"]);
    assert.deepEqual(value.cautions.map((each) => each.id), ["deadly-confusion", "raw-upsets"]);
    assert.deepEqual(value.confusions.map((each) => each.with.id), ["F9002"]);
    assert.equal(value.acceptOnly.length, 2);
    assert.deepEqual([value.reviewState, value.review.reviewed, value.safetyNote], ["unreviewed", false, api.SAFETY_NOTE]);
  }
});

test("of another taxon that is edible the bare verdict is not told", () => {
  const other = find("Fictum letale")[0].confusions[0].with;
  assert.equal(other.id, "F9001");
  assert.match(other.verdictInWords, /but only as taxon\("F9001"\) says/);
  assert.equal(JSON.stringify(other).includes('"verdict"'), false);
  assert.equal(other.verdict.cautions.length, 2);
});

test("nothing recorded is no clearance", () => {
  const { verdict } = find("Fictum dubium")[0];
  assert.deepEqual(verdict.confusions, []);
  assert.match(String(verdict), /nothing recorded, which is no clearance/);
  assert.match(String(verdict), /severe/);
});

test("without a proof nothing is accepted", () => {
  assert.throws(() => api.proof("F9002"), { name: "NoProof", message: /Fictum letale/ });
  assert.throws(() => taxon("F9002").proof, api.NoProof);
});

test("nothing can be changed, at any depth", () => {
  const found = find("Fictum commune");
  const { verdict } = found[0];
  const changes = [
    () => { verdict.id = "edible"; }, () => { verdict.needs.length = 0; }, () => { verdict.cautions.push({}); },
    () => { verdict.needs[0].title = ""; }, () => { delete verdict.cautions; }, () => { verdict.confusions[0].with.name = "x"; },
    () => { found.length = 0; }, () => { found[0].foundAs[0] = "current"; }, () => { Object.defineProperty(verdict, "id", { value: 1 }); },
    () => Object.setPrototypeOf(verdict, null), () => { api.provenance().counts.taxa = 0; }, () => taxa().pop(),
    () => { verdict.isEdible = true; }, () => Object.assign(verdict, { toString: () => "edible" }),
  ];
  for (const each of changes) assert.throws(each, TypeError, String(each));
  // Where a program is not strict, JavaScript itself would let it go on as if it had been changed.
  for (const change of ["v.id = 'edible'", "v.isEdible = true", "delete v.cautions"]) {
    assert.throws(() => new Function("v", change)(verdict), { message: /a record cannot be changed/ }, change);
  }
  found[0].record().edibility.needs.length = 0;
  assert.equal(taxon("F9001").verdict.needs.length, 2);
});

test("a promise can hold a taxon, and what it is can be asked", async () => {
  assert.equal((await taxon("F9001")).id, "F9001");
  assert.ok(taxon("F9001") instanceof api.Taxon);
  assert.ok(taxon("F9001").verdict instanceof api.Verdict);
});

test("notices come by the order of versions, which is not that of letters", () => {
  const rows = ["0.10.0", "0.2.0", "0.9.9", "0.1.0"].map((version) => ({ version, text: version, source_ids: "a|b" }));
  const late = edited("index.json", (index) => void (index.version = "0.10.0"));
  assert.equal(late.VERSION, "0.10.0");
  assert.equal(late.all.name, "BrokenData"); // its records are those of 0.1.0
  const told = edited("notices.json", () => rows).notices;
  assert.deepEqual(told.map((each) => each.version), ["0.1.0", "0.2.0", "0.9.9", "0.10.0"]);
  assert.deepEqual(told[0].sourceIds, ["a", "b"]);
  assert.deepEqual(api.notices("0.1.0"), []);
  for (const wrong of ["", "1", "1.0", "v1.0.0", "01.0.0", "1.0.0 ", "latest", 1, null, undefined, "1.0.0\n"]) {
    assert.throws(() => api.notices(wrong), { name: "RangeError", message: /no version of the data/ });
  }
  assert.throws(() => api.notices("0.1.1"), { name: "RangeError", message: /newer than this version, 0\.1\.0/ });
});

test("notices that do not reach back far enough say so", () => {
  const { whole, notices } = edited("index.json", (index) => void (index.provenance.notices.complete_since = "0.1.0"));
  assert.equal(whole.name, "NoticesIncomplete");
  assert.deepEqual(notices, []);
  assert.deepEqual(edited("index.json", (index) => void (index.provenance.notices.complete_since = "0.0.1")).whole, []);
});

const edibility = (change) => (record) => void change(record.edibility);
const broken = {
  "no file": ["index.json", (index) => void index.taxa.push("F9999")],
  "an unknown verdict": ["taxa/F9002.json", edibility((each) => void (each.verdict.id = "harmless"))],
  "no verdict": ["taxa/F9002.json", edibility((each) => void delete each.verdict)],
  "no needs": ["taxa/F9001.json", edibility((each) => void delete each.needs)],
  "no cautions": ["taxa/F9001.json", edibility((each) => void (each.cautions = null))],
  "no confusions": ["taxa/F9001.json", edibility((each) => void (each.confusions = {}))],
  "no review": ["taxa/F9001.json", (record) => void delete record.review],
  "another review": ["taxa/F9001.json", (record) => void (record.review.id = "reviewed")],
  "a confusion without a verdict": ["taxa/F9001.json", edibility((each) => void delete each.confusions[0].with.verdict)],
  "no proof": ["taxa/F9001.json", (record) => void delete record.proof],
  "a proof that leaves out what it does not exclude": ["taxa/F9001.json", (record) => void record.proof.push({ items: [] })],
  "the record of another": ["taxa/F9002.json", (record) => void (record.id = "F9001")],
  "another version": ["taxa/F9001.json", (record) => void (record.release = "0.0.9")],
  "another form": ["taxa/F9001.json", (record) => void (record.schema = 2)],
  "no record": ["taxa/F9001.json", () => []],
};
for (const [name, [file, change]] of Object.entries(broken)) {
  test(`a broken record throws: ${name}`, () => {
    const { all } = edited(file, change);
    assert.equal(all.name, "BrokenData");
    assert.match(all.message, /counts as dangerous.*Install the package again/);
  });
}

test("text that is no JSON throws", () => {
  assert.equal(changed("taxa/F9001.json", (text) => text.slice(0, 500)).all.name, "BrokenData");
  assert.equal(changed("notices.json", () => "{}").notices.name, "BrokenData");
  assert.throws(() => changed("index.json", () => "{"), { name: "BrokenData" });
  assert.throws(() => edited("index.json", (index) => void (index.schema = 2)), { name: "BrokenData" });
});
