// SPDX-License-Identifier: Apache-2.0

/** A word of a vocabulary of the dataset, and what it means. */
export interface Term {
  readonly id: string;
  readonly title: string;
  readonly definition: string;
}

/** Whether somebody other than the author has vouched for an entry as it stands; `on` is a day, or null for never. */
export interface Review extends Term {
  readonly reviewed: boolean;
  readonly on: string | null;
}

/** What a specimen must show: one of some states, or a measurement from `low` to `high` in `unit`. */
export interface Accepted {
  readonly characterId: string;
  readonly title: string;
  readonly states: readonly string[] | null;
  readonly low: number | null;
  readonly high: number | null;
  readonly unit: string | null;
}

/** Another taxon beside one. Its verdict is only to be had with all that it hangs on, from its own record. */
export interface Other {
  readonly id: string;
  readonly name: string;
  readonly reviewState: string;
  /** For people to read. Of an edible one it says where the conditions stand. */
  readonly verdictInWords: string;
  readonly verdict: Verdict;
  toString(): string;
}

/** Another taxon that one can be taken for. What is null was not computed. */
export interface Confusion {
  readonly with: Other;
  /** The taxon that `separates` was computed for: a one-way difference only counts for that one. */
  readonly toldFrom: string;
  /** Who listed it: a person, or the comparison. */
  readonly listed: string;
  readonly note: string | null;
  /** How much must separate the two in the field, and how much does. */
  readonly required: number | null;
  readonly separators: number | null;
  /** From 0 to 1. */
  readonly similarity: number | null;
  /** The usual signs of the trade, as ids of characters: shown, never counted. */
  readonly hints: readonly string[];
  readonly sourceIds: readonly string[];
  readonly claimed: readonly string[];
  /** The characters by what they do to tell the two apart. */
  readonly separates: Readonly<Record<string, readonly string[]>>;
}

/** Another taxon that the comparison held for alike, and the reason why it is not taken for it. */
export interface Answered {
  readonly with: Other;
  readonly because: string | null;
  readonly sourceIds: readonly string[];
}

/** When a syndrome begins, in hours; null is not known. An early illness never rules out a late one. */
export interface Onset {
  readonly sourceId: string;
  readonly phase: string;
  readonly lowH: number | null;
  readonly highH: number | null;
}

export interface Syndrome extends Term {
  readonly onsets: readonly Onset[];
}

export interface Opinion {
  readonly sourceId: string;
  readonly verdict: string;
}

/**
 * What may be said of eating a taxon, with all that it hangs on. It is no yes or no: as text it tells all of it, and
 * compared (`==`, `<`), counted or added it throws. `===` and truthiness cannot be caught by any program: every verdict
 * is truthy, also the deadly ones, and equals no word. Compare `id`, and show the rest wherever you show that.
 */
export declare class Verdict implements Term {
  private constructor();
  /** The bare word; whoever shows it shows the needs, the cautions and the confusions beside it. */
  readonly id: string;
  readonly title: string;
  readonly definition: string;
  readonly taxonId: string;
  readonly name: string;
  /** Without all of these the verdict does not hold. */
  readonly needs: readonly Term[];
  readonly cautions: readonly Term[];
  /** Only a specimen that shows all of these is covered. */
  readonly acceptOnly: readonly Accepted[];
  /** The most dangerous first. None recorded is no clearance. */
  readonly confusions: readonly Confusion[];
  readonly answered: readonly Answered[];
  readonly evidence: Term;
  readonly verdictSourceIds: readonly string[];
  readonly opinions: readonly Opinion[];
  readonly syndromes: readonly Syndrome[];
  /** A word where the harm goes beyond what the syndromes suggest; null says nothing about its harm. */
  readonly severity: string | null;
  /** How much skill it takes to prove an edible taxon; null where nothing was computed. */
  readonly grade: Term | null;
  readonly gradeReason: string | null;
  readonly reviewState: string;
  readonly review: Review;
  readonly safetyNote: string;
  toString(): string;
}

/** One thing to look at, when it can be read, and against how many others it counts. */
export interface Item {
  readonly characterId: string;
  readonly title: string;
  readonly position: number;
  readonly accept: readonly string[];
  readonly readWhen: readonly string[];
  readonly rulesOut: number;
}

/** A taxon that is not excluded even if every item was seen: fewer than `required` separate it. */
export interface Left {
  readonly with: Other;
  readonly required: number;
  readonly separators: number;
}

/** What to look at with what is at hand, and what is not excluded even then. Show both, or neither. */
export interface ProofLevel {
  readonly level: Term;
  readonly items: readonly Item[];
  readonly notExcluded: readonly Left[];
}

/** The list by which an edible taxon is accepted. That there is one accepts nothing. */
export declare class Proof {
  private constructor();
  readonly taxonId: string;
  readonly levels: readonly ProofLevel[];
  readonly verdict: Verdict;
  toString(): string;
}

export interface Name {
  readonly name: string;
  readonly authorship: string | null;
  readonly role: string;
  readonly checkedAgainst: string | null;
  readonly checkedOn: string | null;
  readonly obtained: string | null;
  readonly outcome: string | null;
}

export interface Vernacular {
  readonly language: string;
  readonly name: string;
  readonly preferred: boolean;
}

export interface State {
  readonly characterId: string;
  readonly title: string;
  readonly stage: string;
  readonly states: readonly string[];
  readonly sourceIds: readonly string[];
}

export interface Measurement {
  readonly characterId: string;
  readonly title: string;
  readonly stage: string;
  readonly low: number;
  readonly high: number;
  readonly unit: string;
  readonly sourceIds: readonly string[];
}

export interface Setting {
  readonly kind: string;
  readonly value: string;
  readonly strength: string | null;
  readonly sourceIds: readonly string[];
}

export interface Season {
  readonly region: string;
  readonly month: number;
  readonly peak: boolean;
  readonly sourceIds: readonly string[];
}

export interface Protection {
  readonly instrument: string;
  readonly nameAsListed: string;
  readonly territory: string;
  readonly section: string | null;
  readonly acts: readonly string[];
  readonly since: string | null;
  readonly sourceId: string;
  readonly checkedOn: string | null;
}

/** A taxon. What is not recorded is null or empty, and that never means that there is none. */
export declare class Taxon {
  private constructor();
  readonly id: string;
  /** What the name that it was found by is to it: current, former, misapplied, retired, ...; or `id`. Else empty. */
  readonly foundAs: readonly string[];
  /** The version of the data. */
  readonly release: string;
  readonly name: string;
  readonly authorship: string | null;
  readonly rank: string;
  readonly family: string | null;
  readonly region: string | null;
  readonly verdict: Verdict;
  /** What it can be taken for, the most dangerous first. */
  readonly confusions: readonly Confusion[];
  /** Throws NoProof. */
  readonly proof: Proof;
  readonly review: Review;
  readonly vernacular: readonly Vernacular[];
  readonly names: readonly Name[];
  readonly characters: readonly State[];
  readonly measurements: readonly Measurement[];
  readonly settings: readonly Setting[];
  readonly seasons: readonly Season[];
  readonly uses: readonly Term[];
  readonly protections: readonly Protection[];
  readonly safetyNote: string;
  /** A copy of the whole record, in the form of `json/taxon.schema.json` of the release. */
  record(): unknown;
  toString(): string;
}

/** Something that got stricter: in which version, of which taxon, and the sentence that tells it. */
export interface Notice {
  readonly noticeId: string;
  readonly version: string;
  readonly kind: string;
  readonly taxonId: string | null;
  readonly name: string | null;
  readonly withTaxonId: string | null;
  readonly withName: string | null;
  readonly table: string;
  readonly column: string | null;
  readonly old: string | null;
  readonly new: string | null;
  readonly sourceIds: readonly string[];
  readonly reason: string | null;
  readonly text: string;
}

export interface Character {
  readonly title: string;
  readonly part: string;
  readonly kind: string;
  readonly proof: string;
  readonly seenBy: string;
  readonly unit: string | null;
  readonly states: Readonly<Record<string, string>>;
}

export interface Source {
  readonly kind: string;
  readonly citation: string;
  readonly year: number | null;
  readonly doi: string | null;
  readonly isbn: string | null;
  readonly url: string | null;
}

/** Whence a version comes: what made it, from what, and how well it is known. */
export interface Provenance {
  readonly name: string;
  readonly version: string;
  readonly tool: { readonly name: string; readonly version: string };
  readonly schema: { readonly since: string; readonly sha256: string };
  readonly content: { readonly sha256: string };
  readonly checklists: readonly {
    readonly checklist: string;
    readonly obtained: string;
    readonly names: number;
    readonly first: string;
    readonly last: string;
  }[];
  /** After which version all notices are known, and how many there are. */
  readonly notices: { readonly completeSince: string; readonly count: number };
  readonly counts: {
    readonly taxa: number;
    readonly verdict: Readonly<Record<string, number>>;
    readonly reviewState: Readonly<Record<string, number>>;
    readonly evidence: Readonly<Record<string, number>>;
  };
  readonly similarityThreshold: number | null;
  readonly safety: string;
}

/** Nothing is recorded of what was asked for. This is no clearance. */
export declare class NotRecorded extends Error {}
/** A taxon that was asked for is recorded, but nobody has vouched for its entry. */
export declare class NotReviewed extends NotRecorded {}
/** There is no list by which anybody could accept a taxon. */
export declare class NoProof extends Error {}
/** What got stricter between a version and this one is not known as a whole. */
export declare class NoticesIncomplete extends Error {}
/** Data of this package cannot be read or relied on. */
export declare class BrokenData extends Error {}

export declare const VERSION: string;
export declare const SAFETY_NOTE: string;
export declare const LICENCE: string;

/** All taxa by id, on demand only those whose entry was reviewed. Their confusions are never filtered. */
export declare function taxa(options?: { readonly reviewedOnly?: boolean }): readonly Taxon[];

/** The taxon with an id. Throws NotRecorded, also for an id that has ended: `find` follows it. */
export declare function taxon(id: string): Taxon;

/**
 * All taxa that a name may mean, the most dangerous verdict first; never none. A name: current, former, misspelt or
 * misapplied, with or without its authors; an everyday name; an id. Case and spacing do not matter. A name or an id that
 * has ended leads to its successors. `reviewedOnly` wants that every one of them was reviewed, since one that is left out
 * may be the dangerous one. Throws NotRecorded, NotReviewed.
 */
export declare function find(
  name: string,
  options?: { readonly reviewedOnly?: boolean },
): readonly [Taxon, ...Taxon[]];

/** All that a taxon can be taken for, the most dangerous first. Throws NotRecorded. */
export declare function confusions(taxonOrId: Taxon | string): readonly Confusion[];

/** What to look at before a taxon is accepted. Throws NoProof, NotRecorded. */
export declare function proof(taxonOrId: Taxon | string): Proof;

/**
 * What got stricter after a version, in the order of the versions; nothing for this version itself. `partial` also
 * answers where the notices do not reach back that far. Throws RangeError for what is no version, or newer than this
 * one; NoticesIncomplete.
 */
export declare function notices(since: string, options?: { readonly partial?: boolean }): readonly Notice[];

/** The characters by id, and what each of their states means. */
export declare function characters(): Readonly<Record<string, Character>>;

/** The sources by id. */
export declare function sources(): Readonly<Record<string, Source>>;

export declare function provenance(): Provenance;
