// SPDX-License-Identifier: Apache-2.0
import api from "./index.cjs";

export const {
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
} = api;
