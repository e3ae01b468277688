// SPDX-License-Identifier: Apache-2.0
// A taxon: its record is read when something of it is asked for.
"use strict";

const { IDS, recordOf } = require("./records.cjs");
const { guarded, once, sealed } = require("./sealed.cjs");
const { proofOf } = require("./proof.cjs");
const { INSPECT, verdictOf } = require("./verdict.cjs");

// Parts that stand as they are recorded; the verdict and the proof have ways of their own.
const PARTS = {
  release: "release",
  name: "name",
  authorship: "authorship",
  rank: "rank",
  family: "family",
  region: "region",
  vernacular: "vernacular",
  review: "review",
  names: "names",
  characters: "characters",
  measurements: "measurements",
  settings: "settings",
  seasons: "seasons",
  uses: "uses",
  protections: "protections",
  safetyNote: "safety_note",
};

/** A taxon by its id; `foundAs` tells what the name that it was found by is to it. */
class Taxon {
  constructor(id, foundAs) {
    Object.assign(this, { id, foundAs: Object.freeze(foundAs) });
  }

  get verdict() {
    return verdictOf(recordOf(this.id));
  }

  get confusions() {
    return this.verdict.confusions;
  }

  get proof() {
    return proofOf(recordOf(this.id));
  }

  /** Return a copy of the whole record, in the form of `json/taxon.schema.json` of the release. */
  record() {
    return structuredClone(recordOf(this.id));
  }

  toString() {
    const laws = this.protections.map((each) => `\nProtected: ${each.nameAsListed}, ${each.instrument} (${each.territory})`);
    return String(this.verdict) + laws.join("");
  }

  toJSON() {
    return { ...this, ...partsOf(recordOf(this.id)), verdict: this.verdict };
  }

  [INSPECT]() {
    return this.toString();
  }
}

const partsOf = once((record) =>
  Object.fromEntries(Object.entries(PARTS).map(([part, key]) => [part, sealed(record[key])])),
);

for (const part of Object.keys(PARTS)) {
  Object.defineProperty(Taxon.prototype, part, {
    get() {
      return partsOf(recordOf(this.id))[part];
    },
  });
}

/** Return a taxon by an id of this version. */
function taxonOf(id, foundAs = []) {
  if (!IDS.has(id)) throw new RangeError(`${id} is no id of this version`);
  return guarded(new Taxon(id, [...foundAs]));
}

module.exports = { Taxon, taxonOf };
