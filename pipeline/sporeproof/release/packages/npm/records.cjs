// SPDX-License-Identifier: Apache-2.0
// The files below `records`, read when they are needed, and never believed without a look.
"use strict";

const { readFileSync } = require("node:fs");
const { join } = require("node:path");
const { BrokenData } = require("./errors.cjs");

const SCHEMA = 1;
const KEPT = 64;
const LISTS = ["needs", "cautions", "accept_only", "confusions", "answered", "syndromes", "opinions"];

const INDEX = read("index.json");
if (INDEX?.schema !== SCHEMA) throw broken("index.json", `it has the form ${INDEX?.schema}, and this code reads ${SCHEMA}`);
const IDS = new Set(INDEX.taxa);
const RANKS = new Map(INDEX.verdicts.map((id, rank) => [id, rank]));
const EDIBLE = new Set(INDEX.edible);
const kept = new Map();

/** Return what a JSON file holds. */
function read(path) {
  try {
    return JSON.parse(readFileSync(join(__dirname, "records", path), "utf8"));
  } catch (error) {
    throw broken(path, `it cannot be read: ${error.message}`, error);
  }
}

function broken(path, why, cause) {
  const mend = "Until then what it speaks of counts as dangerous. Install the package again.";
  return new BrokenData(`records/${path} is broken: ${why}. ${mend}`, { cause });
}

/** Return the record of a taxon of this version. The latest few are kept, so that a long walk does not fill the memory. */
function recordOf(id) {
  const record = kept.get(id) ?? checked(id);
  kept.delete(id);
  kept.set(id, record);
  if (kept.size > KEPT) kept.delete(kept.keys().next().value);
  return record;
}

/** Return a record. A verdict that is not known, or that stands without what it hangs on, throws. */
function checked(id) {
  const path = `taxa/${id}.json`;
  const record = read(path);
  const why = amiss(record, id);
  if (why) throw broken(path, why);
  return record;
}

function amiss(record, id) {
  if (record?.schema !== SCHEMA || record.id !== id || record.release !== INDEX.version) {
    return `it is not the record of ${id} in version ${INDEX.version}`;
  }
  const edibility = record.edibility ?? {};
  if (!RANKS.has(edibility.verdict?.id)) return "it has no verdict that this version knows";
  const gone = LISTS.filter((key) => !Array.isArray(edibility[key]));
  if (gone.length) return `its verdict stands without ${gone.join(", ")}`;
  if (!record.review?.id || record.review.id !== edibility.review_state) return "it does not say whether it was reviewed";
  if (!isProof(record.proof)) return "its proof is missing, or does not say what it does not exclude";
  const others = [...edibility.confusions, ...edibility.answered, ...record.proof.flatMap((each) => each.not_excluded)];
  const verdicts = [...others.map((each) => each?.with?.verdict), ...edibility.opinions.map((each) => each?.verdict)];
  return verdicts.every((each) => RANKS.has(each)) ? "" : "it tells of another taxon, or an opinion, without a known verdict";
}

function isProof(levels) {
  return Array.isArray(levels) && levels.every((each) => Array.isArray(each?.items) && Array.isArray(each.not_excluded));
}

module.exports = { EDIBLE, IDS, INDEX, RANKS, broken, read, recordOf };
