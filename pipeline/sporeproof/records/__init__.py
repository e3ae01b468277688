"""Nodes to entries: plain values of the shape that the schema asks for."""
