// SPDX-License-Identifier: Apache-2.0
// What to look at before a taxon is accepted, and what that still does not exclude.
"use strict";

const { NoProof } = require("./errors.cjs");
const { guarded, once, sealed } = require("./sealed.cjs");
const { INSPECT, spaced, verdictOf, withOthers } = require("./verdict.cjs");

/** The list of a taxon, level by level. It is no yes or no; as text it always tells what it leaves open. */
class Proof {
  constructor(fields) {
    Object.assign(this, fields);
  }

  toString() {
    const head = `What to look at before ${this.verdict.name} (${this.taxonId}) is accepted`;
    return [head, ...this.levels.map(inWords), String(this.verdict)].join("\n\n");
  }

  [Symbol.toPrimitive](hint) {
    if (hint === "string") return this.toString();
    throw new TypeError("that there is a proof accepts nothing: look at its items, and show what is not excluded");
  }

  [INSPECT]() {
    return this.toString();
  }
}

/** Return the proof in a record, or throw where there is none. */
const proofOf = once((record) => {
  const { id: taxonId, name, proof } = record;
  if (!proof.length) throw new NoProof(`no proof of ${name} (${taxonId}) is recorded: nothing here lets anybody accept it`);
  return guarded(new Proof({ taxonId, levels: Object.freeze(proof.map(levelOf)), verdict: verdictOf(record) }));
});

function levelOf({ level, items, not_excluded }) {
  return guarded({ level: sealed(level), items: sealed(items), notExcluded: withOthers(not_excluded) });
}

function inWords({ level, items, notExcluded }) {
  return [
    `${level.title}. ${level.definition}`,
    ...(items.length ? items.map(seen) : ["  nothing to look at"]),
    ...(notExcluded.length
      ? ["  NOT EXCLUDED even if all of this is seen:", ...notExcluded.map(left)]
      : ["  What was compared is excluded; what is not in the checklist never is."]),
  ].join("\n");
}

function seen({ position, title, accept, readWhen, rulesOut }) {
  const when = readWhen.length ? `; read only when ${readWhen.map(spaced).join(" and ")}` : "";
  return `  ${position}. ${title}: ${accept.map(spaced).join(" or ")}${when}; rules out ${rulesOut} of the suspects`;
}

function left({ with: other, separators, required }) {
  return `  - ${other} (weight of proof ${separators}, at least ${required} is asked)`;
}

module.exports = { Proof, proofOf };
