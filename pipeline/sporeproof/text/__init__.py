"""YAML to nodes with places, and surgical edits that keep comments and layout."""
