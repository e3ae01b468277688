// SPDX-License-Identifier: Apache-2.0
// The verdict on a taxon with all that it hangs on: there is no way to the one without the other.
"use strict";

const { EDIBLE, RANKS, recordOf } = require("./records.cjs");
const { guarded, once, sealed } = require("./sealed.cjs");

const INSPECT = Symbol.for("nodejs.util.inspect.custom");

/** What may be said of eating a taxon. It is no yes or no: as text it tells all of it, as anything else it throws. */
class Verdict {
  constructor(fields) {
    Object.assign(this, fields);
  }

  toString() {
    return inWords(this);
  }

  toJSON() {
    return { ...this };
  }

  [Symbol.toPrimitive](hint) {
    if (hint === "string") return this.toString();
    throw new TypeError(
      `the verdict on ${this.name} is no yes or no, and is more than a word: compare verdict.id, and show its needs, ` +
        "cautions, acceptOnly and confusions wherever you show that; String(verdict) tells all of it",
    );
  }

  [INSPECT]() {
    return this.toString();
  }
}

/** Another taxon that a record points to. Its verdict is read from its own record, with all that it hangs on. */
class Other {
  constructor({ id, name, verdict, review_state }) {
    const words = EDIBLE.has(verdict) ? `${spaced(verdict)}, but only as taxon("${id}") says` : spaced(verdict);
    Object.assign(this, { id, name, reviewState: review_state, verdictInWords: words });
  }

  get verdict() {
    return verdictOf(recordOf(this.id));
  }

  toString() {
    return `${this.name} (${this.id}), ${this.verdictInWords}, ${spaced(this.reviewState)}`;
  }
}

/** Return the verdict in a record; others in it stand with the most dangerous first. */
const verdictOf = once(({ id: taxonId, name, edibility, review, safety_note }) => {
  const { verdict, confusions, answered, ...rest } = edibility;
  return guarded(
    new Verdict({
      ...sealed(verdict),
      taxonId,
      name,
      ...sealed(rest),
      confusions: withOthers(confusions),
      answered: withOthers(answered),
      review: sealed(review),
      safetyNote: safety_note,
    }),
  );
});

/** Return facts about other taxa, the most dangerous of these first. */
function withOthers(facts) {
  const sorted = [...facts].sort(({ with: a }, { with: b }) => byDanger(a.verdict, b.verdict) || byId(a, b));
  return Object.freeze(
    sorted.map(({ with: other, ...rest }) => guarded({ with: guarded(new Other(other)), ...sealed(rest) })),
  );
}

function byDanger(verdict, other) {
  return RANKS.get(verdict) - RANKS.get(other);
}

function byId(one, other) {
  return one.id < other.id ? -1 : 1;
}

function inWords(verdict) {
  return [
    `${verdict.name} (${verdict.taxonId}): ${term({ ...verdict, title: verdict.title.toUpperCase() })}`,
    `Review: ${term(verdict.review)}`,
    ...block("Needs, without which it does not hold", verdict.needs.map(term)),
    ...block("Cautions", verdict.cautions.map(term)),
    ...block("Only a specimen with all of these", verdict.acceptOnly.map(accepted)),
    ...block("Can be taken for, the most dangerous first", verdict.confusions.map(confused)),
    ...(verdict.confusions.length ? [] : ["Can be taken for: nothing recorded, which is no clearance."]),
    ...block("Held for alike and answered", verdict.answered.map((each) => `${each.with}: ${each.because}`)),
    ...block("Syndromes", verdict.syndromes.map(term)),
    ...(verdict.severity ? [`Severity: ${spaced(verdict.severity)}`] : []),
    ...block("Opinions", verdict.opinions.map((each) => `${spaced(each.verdict)} (${each.sourceId})`)),
    `Evidence: ${term(verdict.evidence)} Sources: ${verdict.verdictSourceIds.join(", ") || "none given"}.`,
    ...graded(verdict),
    verdict.safetyNote,
  ].join("\n");
}

function graded({ id, grade, gradeReason }) {
  if (grade) return [`Grade of proof: ${term(grade)} ${gradeReason ?? ""}`.trimEnd()];
  return EDIBLE.has(id) ? ["Grade of proof: none, so nothing recorded lets anybody accept it."] : [];
}

function block(heading, lines) {
  return lines.length ? [`${heading}:`, ...lines.map((line) => `  - ${line}`)] : [];
}

function term({ title, definition }) {
  return definition ? `${title}. ${definition}` : title;
}

function accepted({ title, states, low, high, unit }) {
  return `${title}: ${states ? states.map(spaced).join(" or ") : `${low ?? "?"} to ${high ?? "?"} ${unit ?? ""}`.trim()}`;
}

function confused({ with: other, note, required, separators, separates }) {
  const counted = required === null ? "" : ` Weight of proof in the field ${separators}, at least ${required} is asked; no clearance.`;
  const found = Object.entries(separates).filter(([, ids]) => ids.length);
  const told = found.map(([word, ids]) => `${spaced(word)}: ${ids.join(", ")}`).join("; ");
  return `${other}.${note ? ` ${note}` : ""}${counted}${told ? ` Separates them? ${told}.` : " Nothing recorded separates them."}`;
}

function spaced(word) {
  return word.replaceAll("-", " ");
}

module.exports = { INSPECT, Verdict, byDanger, byId, spaced, verdictOf, withOthers };
