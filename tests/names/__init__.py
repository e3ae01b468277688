"""Names: answers, outcomes, renames, new entries."""
