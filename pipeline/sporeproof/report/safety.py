"""The sentence that stands wherever a person reads what Sporeproof says."""

SAFETY_NOTE = (
    "Sporeproof supports identification by a competent person and never replaces it; "
    "local law, land managers and codes of practice come first."
)
