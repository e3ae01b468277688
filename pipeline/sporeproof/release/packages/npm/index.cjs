// SPDX-License-Identifier: Apache-2.0
"use strict";

const { BrokenData, NoProof, NotRecorded, NotReviewed, NoticesIncomplete } = require("./errors.cjs");
const { Proof } = require("./proof.cjs");
const { IDS, INDEX, broken, read, recordOf } = require("./records.cjs");
const { sealed } = require("./sealed.cjs");
const { Taxon, taxonOf } = require("./taxon.cjs");
const { Verdict, byDanger, byId } = require("./verdict.cjs");
const { compared } = require("./versions.cjs");

const VERSION = INDEX.version;
const SAFETY_NOTE = INDEX.safety_note;
const LICENCE = INDEX.licence.name;
const REVIEWED = new Set(INDEX.reviewed);
const NO_CLEARANCE = "This is no clearance: what is not recorded may be deadly.";
const BETWEEN = "|";

/** Return all taxa by id, on demand only those whose entry was reviewed; their confusions are never filtered. */
function taxa(options) {
  const ids = switches(options, "reviewedOnly").reviewedOnly ? INDEX.taxa.filter((id) => REVIEWED.has(id)) : INDEX.taxa;
  return Object.freeze(ids.map((id) => taxonOf(id)));
}

/** Return the taxon with an id. */
function taxon(id) {
  if (typeof id !== "string") throw new TypeError("an id is a text, such as those that find() leads to");
  if (IDS.has(id)) return taxonOf(id);
  const where = meant(spelled(id)).size ? `${id} is no id of this version; find() tells all that it may mean.` : nothing(id);
  throw new NotRecorded(where);
}

/** Return all taxa that a name or an id may mean, the most dangerous verdict first. */
function find(name, options) {
  const { reviewedOnly } = switches(options, "reviewedOnly");
  const found = meant(spelled(name));
  if (!found.size) throw new NotRecorded(nothing(name));
  const unread = [...found.keys()].filter((id) => !REVIEWED.has(id));
  if (reviewedOnly && unread.length) throw new NotReviewed(notReviewed(name, unread));
  const all = [...found].map(([id, roles]) => taxonOf(id, roles));
  return Object.freeze(all.sort((a, b) => byDanger(a.verdict.id, b.verdict.id) || byId(a, b)));
}

/** Return what a name may mean: the roles that it has, by the id of a taxon. */
function meant(name) {
  const found = new Map();
  const id = name.toUpperCase();
  if (IDS.has(id)) found.set(id, ["id"]);
  for (const [other, role] of Object.hasOwn(INDEX.names, name) ? INDEX.names[name] : []) {
    found.set(other, [...(found.get(other) ?? []), role]);
  }
  return found;
}

/** Return a name as the index spells it: NFC, lower case, single blanks; the index was made in Python, which has more. */
function spelled(name) {
  if (typeof name !== "string") throw new TypeError("a name is a text");
  return name.normalize("NFC").toLowerCase().split(/[\s\u001c-\u001f\u0085]+/).filter(Boolean).join(" ");
}

function nothing(name) {
  const word = spelled(name);
  const ended = Object.entries(INDEX.retired).find(([id, { was }]) => spelled(id) === word || spelled(was) === word);
  if (!ended) return `Nothing is recorded under ${JSON.stringify(name)}. ${NO_CLEARANCE}`;
  const [id, { was, since, reason }] = ended;
  return `${id} (${was}) ended with version ${since}, and nothing stands in its place: ${reason}. ${NO_CLEARANCE}`;
}

function notReviewed(name, ids) {
  const told = ids.map((id) => `${recordOf(id).name} (${id})`).join(", ");
  return (
    `${JSON.stringify(name)} may mean ${told}, and nobody has reviewed what is said there. ` +
    "Ask without reviewedOnly, and show that it is unreviewed."
  );
}

/** Return the switches that were given; a misspelt one would be off without a word, so it throws. */
function switches(options = {}, ...known) {
  if (options === null || typeof options !== "object") throw new TypeError(`options look like { ${known[0]}: true }`);
  for (const [key, each] of Object.entries(options)) {
    if (!known.includes(key)) throw new TypeError(`there is no option ${key}; there is ${known.join(", ")}`);
    if (each !== undefined && typeof each !== "boolean") throw new TypeError(`${key} is true or false`);
  }
  return options;
}

/** Return all that a taxon can be taken for, the most dangerous first. */
function confusions(taxonOrId) {
  return given(taxonOrId).confusions;
}

/** Return what to look at before a taxon is accepted, level by level, each with what it does not exclude. */
function proof(taxonOrId) {
  return given(taxonOrId).proof;
}

function given(taxonOrId) {
  return taxonOrId instanceof Taxon ? taxonOrId : taxon(taxonOrId);
}

/** Return what got stricter after a version, in the order of the versions; nothing for this version itself. */
function notices(since, options) {
  const { partial } = switches(options, "partial");
  if (compared(since, VERSION) > 0) throw new RangeError(`${since} is newer than this version, ${VERSION}: install the newer package`);
  const known = INDEX.provenance.notices.complete_since;
  if (compared(since, known) < 0 && !partial) {
    const instead = "Look at every taxon again, or ask with { partial: true } for what is known.";
    throw new NoticesIncomplete(`what got stricter between ${since} and ${known} is not known here. ${instead}`);
  }
  const all = told().filter((each) => compared(each.version, since) > 0);
  return sealed(all.sort((a, b) => compared(a.version, b.version)).map(listed));
}

function told() {
  const all = read("notices.json");
  if (Array.isArray(all)) return all;
  throw broken("notices.json", "it holds no list");
}

function listed(notice) {
  return { ...notice, source_ids: (notice.source_ids ?? "").split(BETWEEN).filter(Boolean) };
}

/** Return the characters by id: what they are, how they are seen, and what each of their states means. */
function characters() {
  return sealed(read("catalogue.json").characters);
}

/** Return the sources by id. */
function sources() {
  return sealed(read("catalogue.json").sources);
}

/** Return whence this version comes, and how well it is known. */
function provenance() {
  return sealed(INDEX.provenance);
}

module.exports = {
  BrokenData,
  LICENCE,
  NoProof,
  NotRecorded,
  NotReviewed,
  NoticesIncomplete,
  Proof,
  SAFETY_NOTE,
  Taxon,
  VERSION,
  Verdict,
  characters,
  confusions,
  find,
  notices,
  proof,
  provenance,
  sources,
  taxa,
  taxon,
};
