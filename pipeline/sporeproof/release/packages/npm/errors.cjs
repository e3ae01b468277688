// SPDX-License-Identifier: Apache-2.0
"use strict";

/** Nothing is recorded of what was asked for. This is no clearance. */
class NotRecorded extends Error {}

/** Something is recorded, but nobody else has read all of it as it stands. */
class NotReviewed extends NotRecorded {}

/** Nothing is recorded of what to look at before a taxon is accepted. */
class NoProof extends Error {}

/** Data of this package cannot be read or relied on. */
class BrokenData extends Error {}

/** What got stricter between a version and this one is not known as a whole. */
class NoticesIncomplete extends Error {}

for (const each of [NotRecorded, NotReviewed, NoProof, NoticesIncomplete, BrokenData]) {
  Object.defineProperty(each.prototype, "name", { value: each.name });
}

module.exports = { BrokenData, NoProof, NotRecorded, NotReviewed, NoticesIncomplete };
