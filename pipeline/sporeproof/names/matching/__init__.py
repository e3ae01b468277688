"""How a name is looked up in a checklist: the match service's own rules, and what we make of its answer."""
