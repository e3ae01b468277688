"""A downloaded checklist of millions of names: how it is indexed, and how the index answers."""
