// SPDX-License-Identifier: Apache-2.0
// Which of two versions of the data comes first. Source: Semantic Versioning 2.0.0, section 11.
"use strict";

const FORM = /^(0|[1-9][0-9]*)\.(0|[1-9][0-9]*)\.(0|[1-9][0-9]*)$/;

/** Return below 0 where the first version comes before the second, above 0 where after it, 0 where they are the same. */
function compared(one, other) {
  const [a, b] = [numbers(one), numbers(other)];
  const at = a.findIndex((each, place) => each !== b[place]);
  if (at < 0) return 0;
  return a[at] < b[at] ? -1 : 1;
}

function numbers(version) {
  const found = typeof version === "string" ? FORM.exec(version) : null;
  if (found) return found.slice(1).map(BigInt);
  throw new RangeError(`${String(version)} is no version of the data; those are three numbers in a text, such as "1.10.0"`);
}

module.exports = { compared };
